#include "card/default_card.hpp"

#include <algorithm>
#include <array>
#include <memory>
#include <optional>

#include "card/card_shelf.hpp"
#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

struct DefaultText {
    Kind kind;
    const char* text;
};

// Common practice.
constexpr auto texts = std::to_array<DefaultText>({
    {Kind::diode, "kind = \"diode\"\nforward = \"0.7 V at 10 mA\""},
    {Kind::led, "kind = \"led\"\nforward = \"2 V at 20 mA\""},
    {Kind::coupler,
     "kind = \"coupler\"\nforward = \"1.2 V at 10 mA\"\nctr = \"100 % at 5 mA, 5 V\""},
    {Kind::phototransistor, "kind = \"phototransistor\"\nsensitivity = \"1 mA at 10 W/m²\""},
    {Kind::light_dependent_resistor,
     "kind = \"light-dependent resistor\"\nresistance = \"10 kΩ at 10 lx\"\ngamma = 0.7"},
});

}  // namespace

std::optional<Description> default_card(Kind kind) {
    const auto found = std::ranges::find(texts, kind, &DefaultText::kind);
    if (found == texts.end()) return std::nullopt;
    const auto document = read_toml(std::make_shared<const SourceText>("defaults", found->text));
    CardShelf shelf({});
    Problems problems;
    auto card =
        read_description(document->root, document->start(), {.is_card = true}, shelf, problems);
    if (!card) return std::nullopt;
    for (auto& [key, figure] : card->figures) figure.assumed = true;
    return card;
}

}  // namespace gapwright
