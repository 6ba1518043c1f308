#include "app/report_command.hpp"

#include <fmt/format.h>
#include <stop_token>
#include <string>
#include <vector>

#include "app/exit_status.hpp"
#include "app/outputs.hpp"
#include "app/prove_file.hpp"
#include "folder/output_file.hpp"
#include "proof/proof.hpp"  // IWYU pragma: keep (of a proven link)
#include "proof/verdict.hpp"
#include "report/html_report.hpp"
#include "source/display.hpp"
#include "source/toml_document.hpp"

namespace gapwright {

ExitStatus run_report(const ReportOptions& options, const std::stop_token& stop) {
    const Outputs outputs{.files = {{"-o", options.output}},
                          .folders = options.pictures.named(),
                          .replace = options.replace};
    const auto proven = prove_file(options.prove, outputs, stop);
    if (!proven) return proven.error();
    const auto contents = report_contents(proven->link, proven->circuit, *proven->proof);
    const auto source = read_file(options.prove.file);
    std::vector<OutputFile> files;
    add_file(files, options.output,
             html_report(proven->link, *proven->proof, contents,
                         source ? (*source)->text() : std::string_view()));
    if (!add_pictures(files, contents.all(), options.pictures)) return exit_failed;
    if (const auto failed = write_files(files, outputs, stop)) return *failed;
    const std::string told =
        fmt::format("{}: {}\n", printable(options.output), verdict_name(proven->proof->verdict));
    if (!options.output.empty() && !write_answer(told, outputs)) return exit_failed;
    return status_of(*proven->proof);
}

}  // namespace gapwright
