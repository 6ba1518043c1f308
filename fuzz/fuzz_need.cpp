// Any bytes as a need: errors with text, or drafts that are all read as links.
#include <cstdint>
#include <cstdlib>

#include "design/arrangements/catalogue.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace gapwright;
    const auto text = std::make_shared<const SourceText>(
        "fuzz.link.toml", std::string(reinterpret_cast<const char*>(data), size));
    const auto need = read_need(text, "no-such-folder");
    if (!need) {
        if (need.error().empty() || to_text(need.error()).empty()) std::abort();
        return 0;
    }
    const auto drafts = drafts_of(*need);
    // Every seventh keeps each input quick; which ones depends on the input.
    for (std::size_t k = size % 7; k < drafts.size(); k += 7) {
        const auto link =
            read_link(std::make_shared<const SourceText>("draft.link.toml", drafts[k].text),
                      "no-such-folder");
        if (!link) std::abort();
    }
    return 0;
}
