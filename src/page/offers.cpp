#include "page/offers.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "card/card_shelf.hpp"
#include "card/part_kind.hpp"
#include "card/shipped_cards.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_edit.hpp"

namespace gapwright {
namespace {

// Figures are plausible ones to start from (own choice), to be replaced by what is at hand.
const std::vector<ValueOffer>& described_drives() {
    static const std::vector<ValueOffer> offers = {
        {"a logic output, described here",
         R"({ kind = "logic output", high = "4.2 .. 5 V", low = "0 .. 0.4 V", source_limit = "8 mA", sink_limit = "8 mA" })"},
        {"a contact, described here", R"({ kind = "contact" })"}};
    return offers;
}

const std::vector<ValueOffer>& described_loads() {
    static const std::vector<ValueOffer> offers = {
        {"a coil, described here",
         R"({ kind = "coil", resistance = "720 Ω ± 10 %", pull_in = "16.8 V", drop_out = "2.4 V", inductance = "0.9 H" })"},
        {"an indicator", R"({ kind = "indicator", card = "red-led", current = "5 mA" })"},
        {"a logic input, described here",
         R"({ kind = "logic input", low_below = "0.8 V", high_above = "2 V", leakage = "1 µA" })"},
        {"another load, described here",
         R"({ kind = "load", resistance = "1 kΩ ± 10 %", current = "10 mA" })"}};
    return offers;
}

std::vector<ValueOffer> with_cards(const std::set<Kind>& kinds,
                                   const std::vector<ValueOffer>& described) {
    std::vector<ValueOffer> offers;
    CardShelf shelf({});
    for (const auto& shipped : shipped_cards()) {
        Problems ignored;
        const std::string name(shipped.name);
        const auto card = shelf.find(name, {}, ignored);
        if (!card || !kinds.contains(card->kind)) continue;
        offers.push_back({fmt::format("{} ({})", card->name, name),
                          fmt::format("{{ card = {} }}", toml_string(name))});
    }
    offers.insert(offers.end(), described.begin(), described.end());
    return offers;
}

}  // namespace

const std::vector<ValueOffer>& offers_at(const TomlPath& path) {
    static const std::vector<ValueOffer> none;
    static const std::vector<ValueOffer> drives =
        with_cards({Kind::logic_output, Kind::contact}, described_drives());
    static const std::vector<ValueOffer> loads =
        with_cards({Kind::coil, Kind::logic_input, Kind::load}, described_loads());
    if (path.size() != 2 || path.front() != TomlStep("need")) return none;
    if (path.back() == TomlStep("drive")) return drives;
    return path.back() == TomlStep("load") ? loads : none;
}

std::optional<std::string> offered_value(const TomlPath& path, const std::string& words) {
    const auto& offers = offers_at(path);
    const auto found = std::ranges::find(offers, words, &ValueOffer::words);
    return found == offers.end() ? std::nullopt : std::optional(found->toml);
}

bool is_offered_example(const TomlPath& path, const std::string& toml) {
    const auto& offers = offers_at(path);
    return std::ranges::any_of(offers, [&](const ValueOffer& offer) {
        return offer.toml == toml && toml.find("card = ") == std::string::npos;
    });
}

}  // namespace gapwright
