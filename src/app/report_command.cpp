#include "app/report_command.hpp"

#include <fmt/format.h>

#include <cstdio>

#include "proof/proof.hpp"
#include "report/html_report.hpp"
#include "source/toml_document.hpp"

namespace gapwright {

ExitStatus run_report(const ReportOptions& options) {
    const auto proven = prove_file(options.prove);
    if (!proven) return proven.error();
    const auto contents = report_contents(proven->link, proven->circuit, proven->proof);
    const auto source = read_file(options.prove.file);
    const std::string html = html_report(proven->link, proven->proof, contents,
                                         source ? (*source)->text() : std::string_view());
    const bool written = (options.output.empty() || write_file(options.output, html)) &&
                         write_pictures(contents.all(), options.pictures);
    if (!written) return exit_failed;
    if (!options.output.empty()) {
        fmt::print("{}: {}\n", options.output, verdict_name(proven->proof.verdict));
    }
    return status_of(proven->proof);
}

}  // namespace gapwright
