// `gapwright report LINK -o FILE.html`: everything in one file, and pictures as files of their own.
#pragma once

#include <string>

#include "app/prove_file.hpp"

namespace gapwright {

struct ReportOptions {
    ProveOptions prove;
    std::string output;      // the HTML file
    std::string svg_folder;  // empty: none
    std::string png_folder;
    std::string pdf_folder;
};

ExitStatus run_report(const ReportOptions& options);

}  // namespace gapwright
