#include "design/bounds.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <utility>
#include <vector>

#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/promise_probe.hpp"
#include "proof/ratings.hpp"
#include "proof/timed_subject.hpp"
#include "proof/verdict.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

class Collector {
  public:
    Collector(const Link& link, const LinkCircuit& circuit, const std::vector<std::size_t>& chosen)
        : link_(link), circuit_(circuit), chosen_(chosen) {}

    Bounds collect() {
        for (const auto& promise : link_.promises) add_promise(promise);
        for (const auto& rating : ratings_of(link_, circuit_)) add_rating(rating);
        for (const auto& limit : level_limits(link_, circuit_)) add_level(limit);
        for (std::size_t s = 0; s < link_.states.size(); ++s) add_supply_currents(s);
        return std::move(result_);
    }

  private:
    std::size_t add_measure(std::size_t state, const Probe& probe) {
        const Measure measure_of{static_cast<StateIndex>(state), probe};
        const auto found = std::ranges::find(result_.measures, measure_of);
        if (found != result_.measures.end()) {
            return static_cast<std::size_t>(found - result_.measures.begin());
        }
        result_.measures.push_back(measure_of);
        return result_.measures.size() - 1;
    }

    void add_promise(const Promise& promise) {
        if (!promise.at_rest()) {
            add_timed(promise);
            return;
        }
        Bound bound{.state = promise.state,
                    .measure = add_measure(promise.state, promise_probe(promise, circuit_)),
                    .subject = promise.text,
                    .dimension = promise_dimension(promise),
                    .asked = promise.reserve,
                    .is_promise = true};
        for (const auto& [value, sense] : {std::pair{promise.at_least, Sense::at_least},
                                           std::pair{promise.at_most, Sense::at_most}}) {
            if (!value) continue;
            bound.value = *value;
            bound.sense = sense;
            result_.bounds.push_back(bound);
        }
    }

    void add_timed(const Promise& promise) {
        const bool width = promise.signal == Promise::OfSignal::width_error;
        if (promise.signal && !width) return;
        Bound bound{.state = promise.state,
                    .subject = timed_subject(promise),
                    .dimension = width ? Dimension::ratio : Dimension::time,
                    .sense = Sense::at_most,
                    .value = width ? *promise.at_most : *promise.within,
                    .magnitude = width,
                    .asked = promise.reserve,
                    .is_promise = true,
                    .timed = result_.timed.size()};
        result_.timed.push_back(timed_measure_of(link_, circuit_, promise));
        result_.bounds.push_back(bound);
    }

    std::string subject_of(std::size_t part, bool receiver, Key limit) const {
        return fmt::format("{}{} {}", link_.parts[part].name, receiver ? " receiver" : "",
                           spoken_key(limit));
    }

    void add_rating(const Rating& rating) {
        // No value of a resistor moves a voltage that a part is only assumed to stand; the answer's
        // proof tells it.
        if (rating.basis.assumed && rating.dimension == Dimension::voltage) return;
        const auto place = std::ranges::find(chosen_, rating.part);
        Bound bound{.state = rating.state,
                    .measure = add_measure(rating.state, rating.probe),
                    .subject = subject_of(rating.part, rating.receiver, rating.limit),
                    .dimension = rating.dimension,
                    .sense = rating.sense,
                    .value = rating.rated,
                    .derating = rating.derating,
                    .magnitude = rating.magnitude,
                    .one_way = rating.one_way,
                    .assumed = rating.basis.assumed && place == chosen_.end(),
                    .asked = rating.basis.assumed ? 0 : link_.surroundings.reserve};
        if (rating.limit == Key::power && place != chosen_.end()) {
            bound.chosen = static_cast<std::size_t>(place - chosen_.begin());
        }
        result_.bounds.push_back(std::move(bound));
    }

    void add_level(const LevelLimit& limit) {
        for (std::size_t s = 0; s < link_.states.size(); ++s) {
            const std::size_t measure_index = add_measure(s, limit.probe);
            result_.levels.push_back({measure_index, limit});
            for (const bool high : {false, true}) {
                result_.bounds.push_back(
                    {.state = s,
                     .measure = measure_index,
                     .subject =
                         subject_of(limit.part, false, high ? limit.high_key : limit.low_key),
                     .sense = high ? Sense::at_least : Sense::at_most,
                     .value = high ? limit.high : limit.low,
                     .magnitude = limit.magnitude,
                     .asked = link_.surroundings.reserve,
                     .level = result_.levels.size() - 1,
                     .when_high = high});
            }
        }
    }

    void add_supply_currents(std::size_t state) {
        std::vector<std::size_t> measures;
        for (const Side side : {Side::input, Side::output}) {
            if (link_.side(side).supply) {
                measures.push_back(add_measure(state, supply_current(side)));
            }
        }
        for (std::size_t k = 0; k < link_.parts.size(); ++k) {
            if (link_.parts[k].description.kind != Kind::logic_output) continue;
            const Side side = circuit_.input[k] ? Side::input : Side::output;
            measures.push_back(add_measure(state, circuit_.of(k, side)->current()));
        }
        result_.supply_currents.push_back(std::move(measures));
    }

    const Link& link_;
    const LinkCircuit& circuit_;
    const std::vector<std::size_t>& chosen_;
    Bounds result_;
};

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

Bounds bounds_of(const Link& link, const LinkCircuit& circuit,
                 const std::vector<std::size_t>& chosen) {
    return Collector(link, circuit, chosen).collect();
}

}  // namespace gapwright
