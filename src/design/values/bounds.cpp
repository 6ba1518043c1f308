#include "design/values/bounds.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <utility>
#include <vector>

#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/limits/ratings.hpp"
#include "proof/rest/promise_probe.hpp"
#include "proof/timed/timed_subject.hpp"
#include "proof/verdict.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

// Whether the search for values has a bound for a promise in time. What takes many pulses for each
// set is judged by the answer's proof alone, which every answer shows.
bool is_searched_for(const Promise& promise) {
    if (!promise.signal) return true;
    switch (*promise.signal) {
        case Promise::OfSignal::width_error:
            return true;
        case Promise::OfSignal::eye:
        case Promise::OfSignal::highest_rate:
            break;
    }
    return false;
}

void add_timed(const Link& link, const LinkCircuit& circuit, const Promise& promise,
               Bounds& bounds) {
    const bool width = promise.signal == Promise::OfSignal::width_error;
    if (!is_searched_for(promise)) return;
    Bound bound{.state = promise.state,
                .subject = timed_subject(promise),
                .dimension = width ? Dimension::ratio : Dimension::time,
                .sense = Sense::at_most,
                .value = width ? *promise.at_most : *promise.within,
                .magnitude = width,
                .asked = promise.reserve,
                .is_promise = true,
                .timed = bounds.timed.size()};
    bounds.timed.push_back(timed_measure_of(link, circuit, promise));
    bounds.bounds.push_back(bound);
}

void add_promise(const Link& link, const LinkCircuit& circuit, const Promise& promise,
                 Bounds& bounds) {
    if (!promise.at_rest()) {
        add_timed(link, circuit, promise, bounds);
        return;
    }
    Bound bound{.state = promise.state,
                .measure = add_measure(promise.state, promise_probe(promise, circuit), bounds),
                .subject = promise.text,
                .dimension = promise_dimension(promise),
                .asked = promise.reserve,
                .is_promise = true};
    for (const auto& [value, sense] : {std::pair{promise.at_least, Sense::at_least},
                                       std::pair{promise.at_most, Sense::at_most}}) {
        if (!value) continue;
        bound.value = *value;
        bound.sense = sense;
        bounds.bounds.push_back(bound);
    }
}

// The voltages that a switch stands between its ends.
bool is_voltage_in_hand(Key limit) {
    return limit == Key::collector_emitter_voltage || limit == Key::drain_source_voltage;
}

std::string subject_of(const Part& part, bool receiver, Key limit) {
    return fmt::format("{}{} {}", part.name, receiver ? " receiver" : "", spoken_key(limit));
}

void add_rating(const Link& link, const Rating& rating, const std::vector<std::size_t>& chosen,
                Bounds& bounds) {
    // No value of a resistor moves a voltage that a part is only assumed to stand; the answer's
    // proof tells it.
    if (rating.basis.assumed && rating.dimension == Dimension::voltage) return;
    const auto place = std::ranges::find(chosen, rating.part);
    Bound bound{.state = rating.state,
                .measure = add_measure(rating.state, rating.probe, bounds),
                .subject = subject_of(link.parts[rating.part], rating.receiver, rating.limit),
                .dimension = rating.dimension,
                .sense = rating.sense,
                .value = rating.rated,
                .nominal = rating.rated_nominal,
                .derating = rating.derating,
                .magnitude = rating.magnitude,
                .one_way = rating.one_way,
                .assumed = rating.basis.assumed && place == chosen.end(),
                .asked = rating.basis.assumed ? 0 : link.surroundings.reserve};
    bound.part = rating.part;
    bound.is_power = rating.limit == Key::power;
    bound.is_voltage = is_voltage_in_hand(rating.limit);
    if (rating.limit == Key::power && place != chosen.end()) {
        bound.chosen = static_cast<std::size_t>(place - chosen.begin());
    }
    bounds.bounds.push_back(std::move(bound));
}

void add_level(const Link& link, const LevelLimit& limit, Bounds& bounds) {
    for (std::size_t s = 0; s < link.states.size(); ++s) {
        const std::size_t measure_index = add_measure(s, limit.probe, bounds);
        bounds.levels.push_back({measure_index, limit});
        for (const bool high : {false, true}) {
            bounds.bounds.push_back({.state = s,
                                     .measure = measure_index,
                                     .subject = subject_of(link.parts[limit.part], false,
                                                           high ? limit.high_key : limit.low_key),
                                     .sense = high ? Sense::at_least : Sense::at_most,
                                     .value = high ? limit.high : limit.low,
                                     .nominal = high ? limit.nominal_high : limit.nominal_low,
                                     .magnitude = limit.magnitude,
                                     .asked = link.surroundings.reserve,
                                     .part = limit.part,
                                     .level = bounds.levels.size() - 1,
                                     .when_high = high});
        }
    }
}

void add_supply_currents(const Link& link, const LinkCircuit& circuit, std::size_t state,
                         Bounds& bounds) {
    std::vector<std::size_t> measures;
    for (const Side side : {Side::input, Side::output}) {
        if (link.side(side).supply) {
            measures.push_back(add_measure(state, supply_current(side), bounds));
        }
    }
    for (std::size_t k = 0; k < link.parts.size(); ++k) {
        if (link.parts[k].description.kind != Kind::logic_output) continue;
        const Side side = circuit.input[k] ? Side::input : Side::output;
        measures.push_back(add_measure(state, circuit.of(k, side)->current(), bounds));
    }
    bounds.supply_currents.push_back(std::move(measures));
}

}  // namespace

// The reserve of an assumed limit that is not passed: more than any other has.
constexpr double limits_nothing = 10;

double Bound::reserve(double measured, double temperature, double rated) const {
    double counts = measured;
    if (magnitude) counts = std::abs(measured);
    if (one_way) counts = std::max(0.0, counts);
    const double share = derating ? derating->share(temperature) : 1;
    const double left = reserve_left(counts, rated * share, sense);
    return assumed && left >= 0 ? limits_nothing : left;
}

std::size_t add_measure(std::size_t state, const Probe& probe, Bounds& bounds) {
    const Measure measure_of{static_cast<StateIndex>(state), probe};
    const auto found = std::ranges::find(bounds.measures, measure_of);
    if (found != bounds.measures.end()) {
        return static_cast<std::size_t>(found - bounds.measures.begin());
    }
    bounds.measures.push_back(measure_of);
    return bounds.measures.size() - 1;
}

Bounds bounds_of(const Link& link, const LinkCircuit& circuit,
                 const std::vector<std::size_t>& chosen) {
    Bounds bounds;
    for (const auto& promise : link.promises) add_promise(link, circuit, promise, bounds);
    for (const auto& rating : ratings_of(link, circuit)) add_rating(link, rating, chosen, bounds);
    for (const auto& limit : level_limits(link, circuit)) add_level(link, limit, bounds);
    for (std::size_t s = 0; s < link.states.size(); ++s) {
        add_supply_currents(link, circuit, s, bounds);
    }
    return bounds;
}

}  // namespace gapwright
