// The files of `gapwright build`.
#pragma once

#include <vector>

#include "app/build_command.hpp"
#include "folder/output_file.hpp"
#include "report/build_report.hpp"

namespace gapwright {

// Sheets, plans, tables and pictures of all boards, as the options ask for them. False, told on
// stderr, when a picture could not be drawn. Requires an answer.
bool add_build_files(std::vector<OutputFile>& files, const std::vector<BuildAnswer>& answers,
                     const BuildCommandOptions& options);

}  // namespace gapwright
