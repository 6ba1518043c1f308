// `gapwright report LINK -o FILE.html`: everything in one file, and pictures as files of their own.
#pragma once

#include <stop_token>
#include <string>

#include "app/exit_status.hpp"
#include "app/outputs.hpp"
#include "app/prove_file.hpp"

namespace gapwright {

struct ReportOptions {
    ProveOptions prove;
    std::string output;  // the HTML file
    PictureFolders pictures;
    bool replace = false;  // files that are there
};

ExitStatus run_report(const ReportOptions& options, const std::stop_token& stop);

}  // namespace gapwright
