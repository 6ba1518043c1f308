#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "link/link.hpp"
#include "proof/cautions/caution_notes.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace gapwright::cautioning {
namespace {

std::string names_of(const StatedNotes& notes, const std::vector<std::size_t>& parts) {
    std::vector<std::string> names;
    for (const auto k : parts) names.push_back(notes.link.parts[k].name);
    return fmt::format("{}", fmt::join(names, ", "));
}

// What a link rests on of each kind, the first that is stated without a spread is told of a part.
std::vector<Key> leading_figures(Kind kind) {
    switch (kind) {
        case Kind::coupler:
            return {Key::ctr, Key::photocurrent_ratio, Key::forward};
        case Kind::phototransistor:
            return {Key::sensitivity};
        case Kind::light_dependent_resistor:
            return {Key::resistance};
        case Kind::led:
            return {Key::forward};
        case Kind::transistor:
            return {Key::gain};
        case Kind::mosfet:
            return {Key::threshold};
        case Kind::resistor:
        case Kind::capacitor:
        case Kind::inductor:
        case Kind::contact:
        case Kind::diode:
        case Kind::zener:
        case Kind::coil:
        case Kind::load:
        case Kind::logic_output:
        case Kind::logic_input:
        case Kind::pair:
        case Kind::battery:
            break;
    }
    return {};
}

}  // namespace

// A figure that leads what a link does, stated without a spread: a proof over every specimen then
// has only one.
void no_spread(StatedNotes& notes) {
    std::vector<std::string> figures;
    std::optional<std::size_t> first;
    const auto look = [&](std::size_t k, const Description& d) {
        for (const auto key : leading_figures(d.kind)) {
            const auto* figure = d.find(key);
            if (!figure || figure->assumed || figure->spread.varies()) continue;
            if (!first) first = k;
            figures.push_back(fmt::format("{} {}", notes.link.parts[k].name, spoken_key(key)));
            return;
        }
    };
    notes.each_part([&](std::size_t k, const Part& part) {
        const Description& d = part.description;
        if (d.kind == Kind::pair) {
            look(k, *d.emitter);
            look(k, *d.receiver);
        } else {
            look(k, d);
        }
    });
    if (figures.empty()) return;
    notes.add("no-spread",
              fmt::format("No spread is stated of: {}. Every specimen counts as having just that.",
                          fmt::join(figures, ", ")),
              first);
}

// Resistors whose value is stated as exact, which none is.
void no_tolerance(StatedNotes& notes) {
    std::vector<std::size_t> parts;
    notes.each_part([&](std::size_t k, const Part& part) {
        const auto* value = part.description.find(Key::value);
        if (part.description.kind != Kind::resistor || !value) return;
        if (!value->spread.varies()) parts.push_back(k);
    });
    if (parts.empty()) return;
    notes.add("no-tolerance",
              fmt::format("No tolerance is stated of {}: every specimen counts as "
                          "exact. Write for example \"330 Ω ± 5 %\".",
                          names_of(notes, parts)),
              parts.front());
}

// Where promises in time are judged: parts whose charge nobody stated, and that so are quicker
// here than on the bench.
void stores_nothing(StatedNotes& notes) {
    const bool timed = std::ranges::any_of(
        notes.link.promises, [](const Promise& promise) { return !promise.at_rest(); });
    if (!timed) return;
    constexpr std::array keys = {Key::junction_capacitance,       Key::transit_time,
                                 Key::base_collector_capacitance, Key::base_emitter_capacitance,
                                 Key::gate_source_capacitance,    Key::gate_drain_capacitance};
    std::vector<std::size_t> parts;
    notes.each_part([&](std::size_t k, const Part& part) {
        const Description& d = part.description;
        if (d.kind != Kind::diode && d.kind != Kind::zener && d.kind != Kind::transistor &&
            d.kind != Kind::mosfet) {
            return;
        }
        const auto stated = [&](Key key) { return d.find(key) != nullptr; };
        if (std::ranges::none_of(keys, stated)) parts.push_back(k);
    });
    if (parts.empty()) return;
    notes.add("stores-nothing",
              fmt::format("No charge is stated for {}: in time they are taken to store none.",
                          names_of(notes, parts)),
              parts.front());
}

// What the check of its cards found before.
void doubts(StatedNotes& notes) {
    for (const auto& [part, text] : notes.link.doubts) notes.add("card-doubtful", text, part);
}

void settings(StatedNotes& notes) {
    for (const auto& state : notes.link.states) {
        if (state.assumed.empty()) continue;
        notes.add("setting-assumed",
                  fmt::format("State {} does not set {}: contacts are taken as open, logic "
                              "outputs as low.",
                              state.name, names_of(notes, state.assumed)),
                  state.assumed.front());
    }
}

}  // namespace gapwright::cautioning
