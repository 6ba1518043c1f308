#include "proof/limits/ratings.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>
#include <utility>
#include <vector>
#include "card/assumed_limits.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "device/constants.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/verdict.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

enum class Take : std::uint8_t {
    current,
    reverse_current,
    current_size,
    voltage,
    reverse_voltage,
    voltage_size,
    power,
    base_current,
    control_reverse_voltage,
    control_voltage_size,
};

// Which quantity a limit is about. `on` is the side it concerns for a gap; other parts have one.
struct LimitRow {
    Kind kind;
    Key key;
    Take take;
    std::optional<Side> on = {};
};

constexpr auto limit_rows = std::to_array<LimitRow>({
    {Kind::resistor, Key::power, Take::power},
    {Kind::resistor, Key::voltage, Take::voltage_size},
    {Kind::capacitor, Key::voltage, Take::voltage_size},
    {Kind::inductor, Key::current, Take::current_size},
    {Kind::contact, Key::current, Take::current_size},
    {Kind::contact, Key::voltage, Take::voltage_size},
    {Kind::diode, Key::forward_current, Take::current},
    {Kind::diode, Key::reverse_voltage, Take::reverse_voltage},
    {Kind::diode, Key::power, Take::power},
    {Kind::led, Key::forward_current, Take::current},
    {Kind::led, Key::reverse_voltage, Take::reverse_voltage},
    {Kind::led, Key::power, Take::power},
    {Kind::zener, Key::forward_current, Take::current},
    {Kind::zener, Key::reverse_current, Take::reverse_current},
    {Kind::zener, Key::power, Take::power},
    {Kind::transistor, Key::collector_current, Take::current},
    {Kind::transistor, Key::base_current, Take::base_current},
    {Kind::transistor, Key::collector_emitter_voltage, Take::voltage},
    {Kind::transistor, Key::emitter_base_voltage, Take::control_reverse_voltage},
    {Kind::transistor, Key::power, Take::power},
    {Kind::mosfet, Key::drain_current, Take::current_size},
    {Kind::mosfet, Key::drain_source_voltage, Take::voltage_size},
    {Kind::mosfet, Key::gate_source_voltage, Take::control_voltage_size},
    {Kind::mosfet, Key::power, Take::power},
    {Kind::coil, Key::voltage, Take::voltage_size},
    {Kind::coil, Key::power, Take::power},
    {Kind::load, Key::current, Take::current_size},
    {Kind::load, Key::voltage, Take::voltage_size},
    {Kind::load, Key::power, Take::power},
    {Kind::logic_output, Key::source_limit, Take::current},
    {Kind::logic_output, Key::sink_limit, Take::reverse_current},
    {Kind::logic_input, Key::voltage, Take::voltage_size},
    {Kind::coupler, Key::forward_current, Take::current, Side::input},
    {Kind::coupler, Key::reverse_voltage, Take::reverse_voltage, Side::input},
    {Kind::coupler, Key::power, Take::power, Side::input},
    {Kind::coupler, Key::receiver_power, Take::power, Side::output},
    {Kind::coupler, Key::collector_current, Take::current, Side::output},
    {Kind::coupler, Key::collector_emitter_voltage, Take::voltage, Side::output},
    {Kind::coupler, Key::emitter_collector_voltage, Take::reverse_voltage, Side::output},
    {Kind::phototransistor, Key::collector_current, Take::current},
    {Kind::phototransistor, Key::collector_emitter_voltage, Take::voltage},
    {Kind::phototransistor, Key::emitter_collector_voltage, Take::reverse_voltage},
    {Kind::phototransistor, Key::power, Take::power},
    {Kind::light_dependent_resistor, Key::power, Take::power},
    {Kind::light_dependent_resistor, Key::voltage, Take::voltage_size},
});

// Limits that cards derate over temperature.
constexpr std::array<Key, 3> derated = {Key::power, Key::receiver_power, Key::forward_current};

Probe reversed(Probe probe) {
    for (auto& port : probe.ports) {
        if (probe.kind == Probe::Kind::voltage) std::swap(port.plus, port.minus);
        for (auto& term : port.current) {
            term.main = -term.main;
            term.base = -term.base;
        }
    }
    return probe;
}

std::optional<Probe> probe_for(Take take, const PlacedProbes& probes) {
    switch (take) {
        case Take::current:
        case Take::current_size:
            return probes.current();
        case Take::reverse_current:
            return reversed(probes.current());
        case Take::voltage:
        case Take::voltage_size:
            return probes.voltage();
        case Take::reverse_voltage:
            return reversed(probes.voltage());
        case Take::power:
            return probes.power();
        case Take::base_current:
            return probes.base_current();
        case Take::control_voltage_size:
            return probes.control_voltage();
        case Take::control_reverse_voltage:
            if (const auto probe = probes.control_voltage()) return reversed(*probe);
            return std::nullopt;
    }
    return std::nullopt;
}

// Levels are voltages of either sign; every other limit counts in its own direction only.
bool is_magnitude(Take take) {
    return take == Take::current_size || take == Take::voltage_size ||
           take == Take::control_voltage_size;
}

bool is_derated(Key key) {
    return std::ranges::find(derated, key) != derated.end();
}

std::optional<Derating> derating_of(const Description& d) {
    const auto* full = d.find(Key::full_rating_to);
    const auto* zero = d.find(Key::zero_rating_at);
    if (!full || !zero) return std::nullopt;
    return Derating{full->spread.nominal, zero->spread.nominal};
}

// A limit that is stated without it is one at 25 °C.
std::optional<Derating> assumed_derating(Kind kind) {
    const auto zero = assumed_zero_rating_at(kind);
    return zero ? std::optional(Derating{reference_temperature, *zero}) : std::nullopt;
}

// The limit of a row, without its state: as it is stated, or as it is assumed.
std::optional<Rating> limit_of(const LimitRow& row, const Description& d) {
    Rating rating{.limit = row.key,
                  .dimension = find_key(kind_rule(d.kind), row.key)->dimension,
                  .sense = Sense::at_most,
                  .magnitude = is_magnitude(row.take),
                  .one_way = true};
    if (const auto* figure = d.find(row.key)) {
        rating.rated = figure->spread.lowest;
        rating.rated_nominal = figure->spread.nominal;
    } else if (auto assumed = assumed_limit(d, row.key)) {
        rating.rated = rating.rated_nominal = assumed->value;
        rating.basis.assumed = true;
        rating.basis.reason = assumed->reason;
    } else {
        return std::nullopt;
    }
    if (!is_derated(row.key)) return rating;
    rating.derating = derating_of(d);
    if (!rating.derating) {
        rating.derating = assumed_derating(d.kind);
        rating.basis.derating_assumed = rating.derating.has_value();
    }
    return rating;
}

// The limits of a description that stands at one placement, in every state.
void add_limits(const Link& link, std::size_t part, const Description& d, Side side,
                const PlacedProbes& probes, std::vector<Rating>& ratings) {
    for (const auto& row : limit_rows) {
        if (row.kind != d.kind || (row.on && *row.on != side)) continue;
        auto rating = limit_of(row, d);
        const auto probe = probe_for(row.take, probes);
        if (!rating || !probe) continue;
        rating->part = part;
        rating->receiver = link.parts[part].description.kind == Kind::pair && side == Side::output;
        rating->probe = *probe;
        for (std::size_t s = 0; s < link.states.size(); ++s) {
            rating->state = s;
            ratings.push_back(*rating);
        }
    }
}

// A part that must be on one side or the other of an undefined range.
struct LevelRow {
    Kind kind;
    Key low_key;     // at most this when low or released
    Key high_key;    // at least this when high or pulled in
    bool magnitude;  // either way round: a coil has no polarity
};
constexpr auto level_rows = std::to_array<LevelRow>({
    {Kind::logic_input, Key::low_below, Key::high_above, false},
    {Kind::coil, Key::drop_out, Key::pull_in, true},
});

}  // namespace

double Derating::share(double temperature) const {
    if (temperature <= full_to) return 1;
    if (temperature >= zero_at) return 0;
    return (zero_at - temperature) / (zero_at - full_to);
}

std::vector<Rating> ratings_of(const Link& link, const LinkCircuit& circuit) {
    std::vector<Rating> ratings;
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        const Description& d = link.parts[k].description;
        for (const Side side : {Side::input, Side::output}) {
            const auto& probes = circuit.of(k, side);
            if (!probes) continue;
            const bool pair = d.kind == Kind::pair;
            const Description& here = !pair ? d : (side == Side::input ? *d.emitter : *d.receiver);
            add_limits(link, k, here, side, *probes, ratings);
        }
    }
    return ratings;
}

bool LevelLimit::is_high(double nominal_voltage) const {
    return (magnitude ? std::abs(nominal_voltage) : nominal_voltage) >= middle;
}

std::vector<LevelLimit> level_limits(const Link& link, const LinkCircuit& circuit) {
    std::vector<LevelLimit> limits;
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        const Description& d = link.parts[k].description;
        const auto row = std::ranges::find(level_rows, d.kind, &LevelRow::kind);
        if (row == level_rows.end()) continue;
        const auto* low = d.find(row->low_key);
        const auto* high = d.find(row->high_key);
        if (!low || !high) continue;
        const Side side = circuit.input[k] ? Side::input : Side::output;
        limits.push_back({.part = k,
                          .probe = circuit.of(k, side)->voltage(),
                          .magnitude = row->magnitude,
                          .low_key = row->low_key,
                          .high_key = row->high_key,
                          .low = low->spread.lowest,
                          .high = high->spread.highest,
                          .nominal_low = low->spread.nominal,
                          .nominal_high = high->spread.nominal,
                          .middle = 0.5 * (low->spread.nominal + high->spread.nominal)});
    }
    return limits;
}

std::vector<Rating> level_ratings(const Link& link, const LinkCircuit& circuit,
                                  const std::vector<StatePoint>& nominal) {
    std::vector<Rating> ratings;
    for (const auto& limit : level_limits(link, circuit)) {
        for (std::size_t s = 0; s < link.states.size(); ++s) {
            const bool is_high = limit.is_high(measure(limit.probe, nominal[s]));
            ratings.push_back({.state = s,
                               .part = limit.part,
                               .receiver = false,
                               .limit = is_high ? limit.high_key : limit.low_key,
                               .dimension = Dimension::voltage,
                               .sense = is_high ? Sense::at_least : Sense::at_most,
                               .rated = is_high ? limit.high : limit.low,
                               .rated_nominal = is_high ? limit.nominal_high : limit.nominal_low,
                               .derating = {},
                               .magnitude = limit.magnitude,
                               .one_way = false,
                               .probe = limit.probe});
        }
    }
    return ratings;
}

}  // namespace gapwright
