#include "app/report_command.hpp"

#include <fmt/format.h>
#include <stop_token>
#include <string>
#include <vector>

#include "app/exit_status.hpp"
#include "app/outputs.hpp"
#include "app/prove_file.hpp"
#include "app/terminal.hpp"
#include "fit/link_cards.hpp"
#include "folder/output_file.hpp"
#include "link/link.hpp"
#include "proof/proof.hpp"  // IWYU pragma: keep (of a proven link)
#include "proof/verdict.hpp"
#include "report/html/html_report.hpp"
#include "report/html/unchosen_link.hpp"
#include "source/display.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

std::string source_of(const std::string& file) {
    const auto source = read_file(file);
    return source ? std::string((*source)->text()) : "";
}

// Of a link with values still to be chosen there is no proof: it is drawn, and how to go on is
// told. Nothing is kept, and nothing broken: there is no verdict that the exit status could tell.
ExitStatus report_unchosen(const ReportOptions& options, const Link& link, const Outputs& outputs,
                           const std::stop_token& stop) {
    if (const auto refusal = refuse_outputs(outputs)) return *refusal;
    const auto schematics = unchosen_schematics(link);
    std::vector<OutputFile> files;
    add_file(files, options.output, unchosen_html(link, schematics, source_of(options.prove.file)));
    if (!add_pictures(files, schematics, options.pictures)) return exit_failed;
    if (const auto failed = write_files(files, outputs, stop)) return *failed;
    const std::string told = fmt::format("{}: not judged\n", printable(options.output));
    if (!options.output.empty() && !write_answer(told, outputs)) return exit_failed;
    tell("gapwright: {} To find values: {}\n", unchosen_sentence(link),
         choose_command(options.prove.file));
    return exit_failed;
}

}  // namespace

ExitStatus run_report(const ReportOptions& options, const std::stop_token& stop) {
    const Outputs outputs{.files = {{"-o", options.output}},
                          .folders = options.pictures.named(),
                          .replace = options.replace};
    const auto link = read_checked_link_file(options.prove.file);
    if (link && !link->to_choose().empty()) return report_unchosen(options, *link, outputs, stop);
    const auto proven = prove_file(options.prove, outputs, stop);
    if (!proven) return proven.error();
    const auto contents = report_contents(proven->link, proven->circuit, *proven->proof);
    std::vector<OutputFile> files;
    add_file(files, options.output,
             html_report(proven->link, *proven->proof, contents, source_of(options.prove.file)));
    if (!add_pictures(files, contents.all(), options.pictures)) return exit_failed;
    if (const auto failed = write_files(files, outputs, stop)) return *failed;
    const std::string told =
        fmt::format("{}: {}\n", printable(options.output), verdict_name(proven->proof->verdict));
    if (!options.output.empty() && !write_answer(told, outputs)) return exit_failed;
    return status_of(*proven->proof);
}

}  // namespace gapwright
