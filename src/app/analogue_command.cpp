#include "app/analogue_command.hpp"
#include <stop_token>
#include <string>

#include "app/exit_status.hpp"
#include "app/outputs.hpp"
#include "app/prove_file.hpp"
#include "app/terminal.hpp"
#include "app/wave_command.hpp"
#include "fit/link_cards.hpp"
#include "link/link.hpp"
#include "proof/timed/analogue_study.hpp"
#include "report/text/analogue_text.hpp"

namespace gapwright {

ExitStatus run_analogue(const WaveCommandOptions& options, const std::stop_token& stop) {
    const auto temperature = temperature_option(options.temperature);
    if (!temperature) return refuse(temperature.error(), options.json);
    const auto read = read_solvable_link_file(options.file);
    if (!read) return refuse(read.error(), options.json);
    const auto& [link, circuit] = *read;
    if (!link.analogue) {
        tell(
            "gapwright wave: the link states no [analogue]; write for example drive = \"supply\", "
            "swing = \"0.2 V\" and output = \"signal\" below [analogue]\n");
        return exit_bad_input;
    }
    const auto answer = analogue_study(link, circuit, *temperature, stop);
    if (!answer) return fail(answer.error().message, options.json);
    const std::string text = options.json
                                 ? analogue_json(link, *answer)
                                 : analogue_text(link, *answer, {.colour = wants_colour()});
    return write_answer(text, {.json = options.json}) ? exit_kept : exit_failed;
}

}  // namespace gapwright
