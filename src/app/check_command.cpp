#include "app/check_command.hpp"

#include <unistd.h>

#include <cstdlib>

#include "report/verdict_json.hpp"
#include "report/verdict_text.hpp"

namespace gapwright {
namespace {

bool wants_colour() {
    const char* off = std::getenv("NO_COLOR");
    return isatty(STDOUT_FILENO) != 0 && (!off || *off == '\0');
}

}  // namespace

ExitStatus run_check(const ProveOptions& options) {
    const auto proven = prove_file(options);
    if (!proven) return proven.error();
    const std::string text =
        options.json ? verdict_json(proven->link, proven->proof)
                     : verdict_text(proven->link, proven->proof, {.colour = wants_colour()});
    return write_out(text) ? status_of(proven->proof) : exit_failed;
}

}  // namespace gapwright
