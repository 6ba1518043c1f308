// Supplies that are stated as exact, which none is, and what supplies of that voltage do.
#include <fmt/format.h>

#include <array>
#include <cmath>
#include <optional>
#include <string>
#include <string_view>

#include "card/description.hpp"
#include "card/key.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "proof/cautions/caution_notes.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright::cautioning {
namespace {

// What a supply is made of: cells in series, or one supply as a cell by itself.
struct Cells {
    double nominal;                // V, of one
    double lowest;                 // V, of one in use
    double highest;                // V, likewise
    std::array<int, 6> in_series;  // how many are sold or put together; zero: no more
    std::string_view what;
    // When it has the highest and when the lowest voltage; empty where it is held to a share.
    std::string_view how;
};

// Common practice: what stands at the terminals in use, from the first day to the last.
constexpr auto cells = std::to_array<Cells>({
    // A block of six small alkaline cells whose user replaces it at 7 V: those of cards/battery-9v.
    {9, 7, 9.6, {1}, "A battery", "when fresh and {} when tired"},
    // Alkaline: 1.6 V off the shelf; at 1.1 V under load nine tenths of the charge are used.
    {1.5, 1.1, 1.6, {1, 2, 3, 4}, "A battery", "when fresh and {} when nine tenths are used"},
    // Nickel: flat at 1.2 V for most of its charge, 1.45 V off the charger, harmed below 1 V.
    {1.2, 1.0, 1.45, {1, 2, 3, 4, 6, 8}, "A nickel battery", "just charged and {} when empty"},
    // Lithium: chargers end at 4.2 V, at 3 V under load next to nothing is left; makers call the
    // same cell 3.6 V or 3.7 V.
    {3.6, 3.0, 4.2, {1, 2, 3, 4}, "A lithium battery", "when full and {} when empty"},
    {3.7, 3.0, 4.2, {1, 2, 3, 4}, "A lithium battery", "when full and {} when empty"},
    // Lead: 2.4 V a cell while it is charged, as in a vehicle or behind mains; 1.75 V empty.
    {2, 1.75, 2.4, {3, 6, 12, 18, 24}, "A lead battery", "on its charger and {} when empty"},
    // The rails of logic: regulators and logic's own data sheets speak of 5 %.
    {1.8, 1.71, 1.89, {1}, "A regulated supply", ""},
    {2.5, 2.375, 2.625, {1}, "A regulated supply", ""},
    {3.3, 3.135, 3.465, {1}, "A regulated supply", ""},
    {5, 4.75, 5.25, {1}, "A regulated supply", ""},
});
// What anything else is: mains adapters state a tenth over load and mains.
constexpr double otherwise = 0.1;

// Of several usual readings (7.2 V of nickel or of lithium, 12 V of lead or of an adapter) the
// widest: it holds more of what may come.
struct Usual {
    const Cells* row = nullptr;
    double lowest = 0;   // V
    double highest = 0;  // V
};

Usual usual_supply(double volts) {
    Usual widest;
    for (const auto& row : cells) {
        for (const int n : row.in_series) {
            if (n == 0 || std::abs(n * row.nominal - volts) > 0.005 * volts) continue;
            if (n * (row.highest - row.lowest) <= widest.highest - widest.lowest) continue;
            widest = {&row, n * row.lowest, n * row.highest};
        }
    }
    return widest;
}

std::string volts_text(double volts) {
    return engineering_short(volts, Dimension::voltage, 6);
}

std::string within(double share) {
    return fmt::format("± {:.0f} %", 100 * share);
}

// What such a supply does, and how its spread is written.
struct Advice {
    std::string does;
    std::string spread;
};

Advice advice_of(double volts) {
    const std::string nominal = volts_text(volts);
    const Usual usual = usual_supply(volts);
    if (usual.row == nullptr) {
        return {.does = fmt::format("A mains adapter holds its voltage to {}", within(otherwise)),
                .spread = fmt::format("{} {}", nominal, within(otherwise))};
    }
    if (usual.row->how.empty()) {
        const std::string share = within(usual.row->highest / usual.row->nominal - 1);
        return {.does = fmt::format("{} of {} is held to {}", usual.row->what, nominal, share),
                .spread = fmt::format("{} {}", nominal, share)};
    }
    const std::string how = fmt::format(fmt::runtime(usual.row->how), volts_text(usual.lowest));
    return {.does = fmt::format("{} of {} has {} {}", usual.row->what, nominal,
                                volts_text(usual.highest), how),
            .spread = fmt::format("{} ({:.4g} .. {:.4g} V)", nominal, usual.lowest, usual.highest)};
}

}  // namespace

// Each side's by itself: its remedy stands in another place of the file.
void no_supply_spread(StatedNotes& notes) {
    for (const Side which : {Side::input, Side::output}) {
        const LinkSide& side = notes.link.side(which);
        const auto* voltage = side.supply ? side.supply->find(Key::voltage) : nullptr;
        if (!voltage || voltage->spread.varies()) continue;
        const double volts = voltage->spread.nominal;
        const Advice advice = advice_of(volts);
        // As text it is `supply` itself, in a table or on a card `voltage`.
        const bool plain = voltage->place.begin == side.supply_place.begin &&
                           voltage->place.text == side.supply_place.text;
        const std::string where =
            side.supply->card.empty()
                ? std::string()
                : fmt::format(" on the card {}, or beside its name", side.supply->card);
        notes.add("no-supply-spread",
                  fmt::format("No spread is stated of the {}'s supply: {} counts as exact. {}: "
                              "write {} = \"{}\"{}.",
                              side_name(which), volts_text(volts), advice.does,
                              plain ? "supply" : "voltage", advice.spread, where));
    }
}

}  // namespace gapwright::cautioning
