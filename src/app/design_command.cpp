#include "app/design_command.hpp"

#include <fmt/format.h>

#include "app/terminal.hpp"
#include "proof/proof.hpp"
#include "report/design_json.hpp"
#include "report/design_pictures.hpp"
#include "report/design_text.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

std::string progress_text(const DesignProgress& progress) {
    std::string text = fmt::format("{} of {} looked at", progress.done, progress.all);
    if (progress.best) text += fmt::format("; least reserve so far {}", percent(*progress.best, 3));
    return text + "; Ctrl-C stops and tells the best so far";
}

// A drawer's rows that could not be read are told one by one.
void tell_skipped(const Design& design) {
    if (design.skipped.empty()) return;
    fmt::print(stderr, "{}gapwright: {} row{} of the drawer skipped\n", to_text(design.skipped),
               design.skipped.size(), design.skipped.size() == 1 ? "" : "s");
}

bool write_answer(const Answer& answer, const std::string& path) {
    if (path.empty()) return true;
    if (answer.proof->verdict == Verdict::broken) {
        fmt::print(stderr, "gapwright: nothing was written: no answer holds\n");
        return true;
    }
    if (!write_file(path, answer.text)) return false;
    fmt::print(stderr, "gapwright: the first answer is written to {}\n", path);
    return true;
}

ExitStatus status_of(const Design& design) {
    if (design.stopped) {
        fmt::print(stderr, "gapwright: stopped: these are the best so far\n");
        return exit_failed;
    }
    const Verdict verdict = design.answers.front().proof->verdict;
    if (verdict == Verdict::broken) return exit_broken;
    if (verdict == Verdict::thin) {
        fmt::print(stderr, "gapwright: warning: kept, but with less than the asked reserve\n");
    }
    return exit_kept;
}

}  // namespace

ExitStatus run_design(const DesignCommandOptions& options) {
    std::expected<Design, DesignFailure> design;
    {
        const InterruptGuard interrupt;
        ProgressLine line;
        DesignOptions design_options{.seed = options.seed, .samples = options.samples};
        design_options.engine.stop = interrupt.token();
        design_options.progress = [&](const DesignProgress& p) { line.show(progress_text(p)); };
        design_options.proof_time = options.proof_time;
        design = design_file(options.file, design_options);
    }
    if (!design && !design.error().problems.empty()) {
        return refuse(design.error().problems, options.json);
    }
    if (!design) return fail(design.error().message, options.json);
    tell_skipped(*design);
    const std::string text =
        options.json ? design_json(*design) : design_text(*design, {.colour = wants_colour()});
    const bool written = write_pictures(design_pictures(*design), options.pictures) &&
                         write_answer(design->answers.front(), options.output);
    if (!write_out(text) || !written) return exit_failed;
    return status_of(*design);
}

}  // namespace gapwright
