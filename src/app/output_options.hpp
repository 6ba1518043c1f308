// The options by which commands are told what to write; alike in all of them.
#pragma once

#include <string>

#include "app/outputs.hpp"

namespace CLI {
class App;
class Option;
}  // namespace CLI

namespace gapwright {

// An option that names a file, or "-" for standard output. In --help its value is a FILE, that of
// add_output_folder a FOLDER; tests find by these what a command can write.
CLI::Option* add_output_file(CLI::App& command, const std::string& names, std::string& value,
                             const std::string& words);
CLI::Option* add_output_folder(CLI::App& command, const std::string& names, std::string& value,
                               const std::string& words);

// --svg, whose words are given, --png and --pdf.
void add_picture_folders(CLI::App& command, PictureFolders& pictures, const std::string& words);

// --replace
void add_replace(CLI::App& command, bool& replace);

}  // namespace gapwright
