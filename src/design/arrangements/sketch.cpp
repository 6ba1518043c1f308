#include "design/arrangements/sketch.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <string>
#include <string_view>
#include <utility>
#include <vector>
#include "circuit/index.hpp"
#include "link/need.hpp"

namespace gapwright {

void Sketch::path(Side side, std::string text, std::string note) {
    (side == Side::input ? input_ : output_).push_back({std::move(text), std::move(note)});
}

void Sketch::part(std::string name, std::string text, std::string note) {
    parts_.push_back({std::move(name), std::move(text), std::move(note)});
}

std::string Sketch::resistor(std::string note) {
    std::string name = fmt::format("R{}", ++resistors_);
    part(name, "{ kind = \"resistor\", value = \"choose\" }", std::move(note));
    return name;
}

std::string Sketch::transistor(std::string_view card) {
    std::string name = fmt::format("Q{}", ++transistors_);
    part(name, card_text(card));
    return name;
}

std::string table_text(const PartText& part) {
    std::vector<std::string> entries;
    for (const auto& [key, value] : part) entries.push_back(fmt::format("{} = {}", key, value));
    return fmt::format("{{ {} }}", fmt::join(entries, ", "));
}

std::string card_text(std::string_view card) {
    return fmt::format("{{ card = \"{}\" }}", card);
}

}  // namespace gapwright
