#include "app/check_command.hpp"
#include <stop_token>
#include <string>

#include "app/exit_status.hpp"
#include "app/outputs.hpp"
#include "app/prove_file.hpp"
#include "app/terminal.hpp"
#include "report/json/verdict_json.hpp"
#include "report/text/verdict_text.hpp"

namespace gapwright {
ExitStatus run_check(const ProveOptions& options, const std::stop_token& stop) {
    const Outputs outputs{.json = options.json};
    const auto proven = prove_file(options, outputs, stop);
    if (!proven) return proven.error();
    const std::string text =
        options.json ? verdict_json(proven->link, *proven->proof)
                     : verdict_text(proven->link, *proven->proof, {.colour = wants_colour()});
    return write_answer(text, outputs) ? status_of(*proven->proof) : exit_failed;
}

}  // namespace gapwright
