#include "proof/cautions/series_string.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "link/nominal_junction.hpp"
#include "proof/worked_steps.hpp"

namespace gapwright {
namespace {

std::vector<int> touches_of(const Link& link, Side side) {
    std::vector<int> touches(link.side(side).node_names.size(), 0);
    for (const auto& part : link.parts) {
        const auto& p = part.on(side);
        if (!p) continue;
        ++touches[to_index(p->from)];
        ++touches[to_index(p->to)];
        if (p->control) ++touches[to_index(*p->control)];
    }
    return touches;
}

// The voltage over a part that is no resistor, at the solved point.
double solved_drop(const SolvedString& s, std::size_t part) {
    if (s.link.parts[part].description.kind == Kind::logic_output) {
        return s.current * s.link.parts[part].description.nominal(Key::resistance);
    }
    return measure(s.circuit.of(part, s.string.side)->voltage(), s.point);
}

// The junction's description of a part that has one.
const Description* junction_of(const SolvedString& s, std::size_t part) {
    const Description& d = s.link.parts[part].description;
    switch (d.kind) {
        case Kind::diode:
        case Kind::led:
            return &d;
        case Kind::coupler:
            return s.string.side == Side::input ? &d : nullptr;
        case Kind::pair:
            return s.string.side == Side::input ? d.emitter.get() : nullptr;
        case Kind::resistor:
        case Kind::capacitor:
        case Kind::inductor:
        case Kind::contact:
        case Kind::zener:
        case Kind::transistor:
        case Kind::mosfet:
        case Kind::coil:
        case Kind::load:
        case Kind::logic_output:
        case Kind::logic_input:
        case Kind::phototransistor:
        case Kind::light_dependent_resistor:
        case Kind::battery:
            break;
    }
    return nullptr;
}

double drop_at(const SolvedString& s, std::size_t part, double current) {
    const auto* d = junction_of(s, part);
    if (!d) {
        const double solved = solved_drop(s, part);
        const Kind kind = s.link.parts[part].description.kind;
        const bool ohmic = kind == Kind::coil || kind == Kind::load || kind == Kind::contact ||
                           kind == Kind::inductor || kind == Kind::logic_output;
        return ohmic ? solved * current / s.current : solved;
    }
    return nominal_drop(*d, current);
}

template <class DropOf>
std::vector<Drop> drops(const SolvedString& s, const DropOf& drop_of, double share) {
    std::vector<Drop> result;
    const double least = share * std::abs(source_of(s));
    for (const auto k : s.string.parts) {
        if (std::ranges::find(s.resistors, k) != s.resistors.end()) continue;
        const double v = drop_of(k);
        if (std::abs(v) >= least) result.push_back({s.link.parts[k].name, v});
    }
    const double far = s.point.side(s.string.side).voltage(s.string.to);
    if (std::abs(far) >= least) {
        result.push_back({node_description(s.link.side(s.string.side), s.string.to), far});
    }
    return result;
}

}  // namespace

std::vector<SeriesString> strings_of(const Link& link, Side side) {
    std::vector<SeriesString> strings;
    const auto touches = touches_of(link, side);
    for (const auto& path : link.side(side).paths) {
        std::optional<SeriesString> open;
        for (const auto& item : path) {
            if (!item.part) continue;
            const auto& placement = *link.parts[*item.part].on(side);
            if (!open) open = SeriesString{side, {}, placement.from, placement.to};
            open->parts.push_back(*item.part);
            open->to = placement.to;
            const bool inside = touches[to_index(placement.to)] == 2 &&
                                placement.to != Node::side_return && placement.to != supply_node;
            if (inside) continue;
            strings.push_back(std::move(*open));
            open.reset();
        }
        if (open) strings.push_back(std::move(*open));
    }
    return strings;
}

SolvedString solved_string(const Link& link, const LinkCircuit& circuit,
                           const std::vector<StatePoint>& nominal, const SeriesString& string,
                           const std::vector<std::size_t>& resistors) {
    const Probe probe = circuit.of(resistors.front(), string.side)->current();
    std::size_t state = 0;
    double current = 0;
    for (std::size_t s = 0; s < nominal.size(); ++s) {
        const double other = measure(probe, nominal[s]);
        if (std::abs(other) <= std::abs(current)) continue;
        current = other;
        state = s;
    }
    return {link, circuit, string, resistors, state, nominal[state], current};
}

double source_of(const SolvedString& s) {
    const Part& first = s.link.parts[s.string.parts.front()];
    if (first.description.kind == Kind::logic_output) {
        const auto setting = s.link.states[s.state].settings.at(s.string.parts.front());
        return first.description.nominal(setting == Setting::high ? Key::high : Key::low);
    }
    return s.point.side(s.string.side).voltage(s.string.from);
}

std::optional<Wanted> wanted_current(const SolvedString& s) {
    std::optional<Wanted> wanted;
    for (const auto k : s.string.parts) {
        const auto* junction = junction_of(s, k);
        if (!junction || junction->kind == Kind::diode) continue;
        const std::string& name = s.link.parts[k].name;
        if (wanted && !s.link.parts[k].is_gap()) continue;
        if (const auto* ctr = junction->find(Key::ctr)) {
            wanted = Wanted{ctr->conditions[0],
                            fmt::format("where the transfer ratio of {} is stated", name)};
        } else if (const auto* forward = junction->find(Key::forward)) {
            wanted = Wanted{forward->conditions[0],
                            fmt::format("where the forward voltage of {} is stated", name)};
        }
    }
    return wanted;
}

std::vector<Drop> solved_drops(const SolvedString& s, double least_share) {
    return drops(s, [&](std::size_t k) { return solved_drop(s, k); }, least_share);
}

std::vector<Drop> drops_at(const SolvedString& s, double current, double least_share) {
    return drops(s, [&](std::size_t k) { return drop_at(s, k, current); }, least_share);
}

}  // namespace gapwright
