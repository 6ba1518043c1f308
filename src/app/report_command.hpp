// `gapwright report LINK -o FILE.html`: everything in one file, and pictures as files of their own.
#pragma once

#include <string>

#include "app/prove_file.hpp"
#include "app/write_pictures.hpp"

namespace gapwright {

struct ReportOptions {
    ProveOptions prove;
    std::string output;  // the HTML file
    PictureFolders pictures;
};

ExitStatus run_report(const ReportOptions& options);

}  // namespace gapwright
