// The example links that travel inside the program: files of the repository's examples/.
#pragma once

#include <span>
#include <string_view>

namespace gapwright {

struct ExampleFile {
    std::string_view name;  // of the file, "bell-hammer.link.toml"
    std::string_view text;
};

// Links of the clock tower, in the order of their names.
std::span<const ExampleFile> example_links();
// Its needs, and the drawer that they name.
std::span<const ExampleFile> example_needs();

}  // namespace gapwright
