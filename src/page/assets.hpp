// The files of the page itself, built from web/ and carried inside the program.
#pragma once

#include <span>
#include <string_view>

namespace gapwright {

struct PageFile {
    std::string_view name;  // "page.js"
    std::string_view text;
};

std::span<const PageFile> page_files();

}  // namespace gapwright
