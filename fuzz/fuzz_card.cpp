// Any bytes as a card file: errors with text, or a description whose every figure is in range.
#include <cmath>
#include <cstdint>
#include <cstdlib>

#include "card/card_shelf.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace gapwright;
    const auto text = std::make_shared<const SourceText>(
        "fuzz.card.toml", std::string(reinterpret_cast<const char*>(data), size));
    const auto document = read_toml(text);
    if (!document) {
        if (to_text(document.error()).empty()) std::abort();
        return 0;
    }
    CardShelf shelf({});
    Problems problems;
    const auto description =
        read_description(document->root, document->start(), {.is_card = true}, shelf, problems);
    if (!description) {
        if (problems.empty() || to_text(problems).empty()) std::abort();
        return 0;
    }
    for (const auto& [key, figure] : description->figures) {
        const auto& s = figure.spread;
        const bool ordered = s.lowest <= s.nominal && s.nominal <= s.highest;
        if (!ordered || !std::isfinite(s.lowest) || !std::isfinite(s.highest)) std::abort();
    }
    return 0;
}
