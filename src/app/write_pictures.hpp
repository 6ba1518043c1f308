// Files that commands write: whole or not there, and pictures into folders.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "report/html_report.hpp"

namespace gapwright {

// A file is whole or not there. False, told on stderr, when it could not be written.
bool write_file(const std::filesystem::path& path, const std::string& text);

// Whether a file may be written: it is not there yet, or its replacement is wanted. False, told on
// stderr, where it would be lost.
bool may_write(const std::filesystem::path& path, bool replace);

// Where a command's pictures go; an empty folder: none of that kind.
struct PictureFolders {
    std::string svg;
    std::string png;
    std::string pdf;

    bool any() const { return !svg.empty() || !png.empty() || !pdf.empty(); }
};

// Every picture under its name, NAME.svg …; folders are made where they are missing. False, told on
// stderr, when one could not be written.
bool write_pictures(const std::vector<const NamedPicture*>& pictures,
                    const PictureFolders& folders);
bool write_pictures(const std::vector<NamedPicture>& pictures, const PictureFolders& folders);

}  // namespace gapwright
