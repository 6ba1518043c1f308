#include "app/design_command.hpp"

#include <fmt/format.h>

#include <expected>
#include <filesystem>
#include <optional>
#include <stop_token>
#include <string>
#include <vector>

#include "app/exit_status.hpp"
#include "app/outputs.hpp"
#include "app/terminal.hpp"
#include "design/design.hpp"
#include "folder/output_file.hpp"
#include "proof/proof.hpp"  // IWYU pragma: keep (of an answer)
#include "proof/verdict.hpp"
#include "report/json/design_json.hpp"
#include "report/pictures/design_pictures.hpp"
#include "report/text/design_text.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"
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
    tell_text(to_text(design.skipped));
    tell("gapwright: {} row{} of the drawer skipped\n", design.skipped.size(),
         design.skipped.size() == 1 ? "" : "s");
}

// The pictures, and the answer taken unless it does not hold.
std::optional<ExitStatus> write(const Design& design, const DesignCommandOptions& options,
                                const Outputs& outputs, const std::stop_token& stop) {
    std::vector<OutputFile> files;
    if (!add_pictures(files, design_pictures(design), options.pictures)) return exit_failed;
    if (options.take > design.answers.size()) {
        tell("gapwright: nothing was written: there is no answer {}, the last is {}\n",
             options.take, design.answers.size());
        return exit_bad_input;
    }
    const Answer& taken = design.answers[options.take - 1];
    const bool holds = taken.proof->verdict != Verdict::broken;
    if (holds) add_file(files, options.output, taken.text);
    if (const auto failed = write_files(files, outputs, stop)) return failed;
    if (options.output.empty()) return std::nullopt;
    if (!holds) {
        tell("gapwright: nothing was written: no answer holds\n");
    } else if (!outputs.take_stdout()) {
        tell("gapwright: answer {} is written to {}\n", options.take, options.output);
    }
    return std::nullopt;
}

ExitStatus status_of(const Design& design) {
    if (design.stopped) {
        tell("gapwright: stopped: these are the best so far\n");
        return exit_failed;
    }
    const Verdict verdict = design.answers.front().proof->verdict;
    if (verdict == Verdict::broken || verdict == Verdict::unknown) return exit_broken;
    if (verdict == Verdict::thin) {
        tell("gapwright: warning: kept, but with less than the asked reserve\n");
    }
    return exit_kept;
}

}  // namespace

ExitStatus run_design(const DesignCommandOptions& options, const std::stop_token& stop) {
    const auto link = read_file(options.file);
    if (!link) return refuse(link.error(), options.json);
    const Outputs outputs{.files = {{"-o", options.output}},
                          .folders = options.pictures.named(),
                          .replace = options.replace,
                          .json = options.json};
    if (const auto refusal = refuse_outputs(outputs)) return *refusal;
    std::expected<Design, DesignFailure> design;
    {
        ProgressLine line;
        DesignOptions design_options{.seed = options.seed, .samples = options.samples};
        design_options.engine.stop = stop;
        design_options.progress = [&](const DesignProgress& p) { line.show(progress_text(p)); };
        design = design_of(*link, std::filesystem::path(options.file).parent_path().string(),
                           design_options);
    }
    if (!design && !design.error().problems.empty()) {
        return refuse(design.error().problems, options.json);
    }
    if (!design) return fail(design.error().message, options.json);
    tell_skipped(*design);
    const std::string text =
        options.json ? design_json(*design) : design_text(*design, {.colour = wants_colour()});
    if (!write_answer(text, outputs)) return exit_failed;
    if (const auto failed = write(*design, options, outputs, stop)) return *failed;
    return status_of(*design);
}

}  // namespace gapwright
