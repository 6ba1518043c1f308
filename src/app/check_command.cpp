#include "app/check_command.hpp"

#include "app/terminal.hpp"
#include "report/verdict_json.hpp"
#include "report/verdict_text.hpp"

namespace gapwright {
ExitStatus run_check(const ProveOptions& options) {
    const auto proven = prove_file(options);
    if (!proven) return proven.error();
    const std::string text =
        options.json ? verdict_json(proven->link, proven->proof)
                     : verdict_text(proven->link, proven->proof, {.colour = wants_colour()});
    return write_out(text) ? status_of(proven->proof) : exit_failed;
}

}  // namespace gapwright
