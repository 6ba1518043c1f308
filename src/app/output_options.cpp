#include "app/output_options.hpp"

#include <CLI/CLI.hpp>
#include <string>
#include "app/outputs.hpp"

namespace gapwright {

CLI::Option* add_output_file(CLI::App& command, const std::string& names, std::string& value,
                             const std::string& words) {
    return command
        .add_option(names, value,
                    words + "; - for standard output, then words go to standard error")
        ->type_name("FILE");
}

CLI::Option* add_output_folder(CLI::App& command, const std::string& names, std::string& value,
                               const std::string& words) {
    return command.add_option(names, value, words)->type_name("FOLDER");
}

void add_picture_folders(CLI::App& command, PictureFolders& pictures, const std::string& words) {
    add_output_folder(command, "--svg", pictures.svg, words);
    add_output_folder(command, "--png", pictures.png, "likewise as PNG");
    add_output_folder(command, "--pdf", pictures.pdf, "likewise as PDF");
}

void add_replace(CLI::App& command, bool& replace) {
    command.add_flag("--replace", replace, "replace files that are there");
}

}  // namespace gapwright
