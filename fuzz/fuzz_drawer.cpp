// Any bytes as a drawer: errors with text, or rows and skipped rows.
#include <cstdint>
#include <cstdlib>

#include "card/drawer.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace gapwright;
    const auto text = std::make_shared<const SourceText>(
        "fuzz.csv", std::string(reinterpret_cast<const char*>(data), size));
    const auto drawer = read_drawer(text);
    const Problems& problems = drawer ? drawer->skipped : drawer.error();
    if (!drawer && problems.empty()) std::abort();
    if (!problems.empty() && to_text(problems).empty()) std::abort();
    return 0;
}
