#include "proof/rest/rest_targets.hpp"

#include <algorithm>
#include <cstddef>
#include <iterator>
#include <map>
#include <optional>
#include <tuple>
#include <utility>
#include <vector>

#include "card/key.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/limits/ratings.hpp"
#include "proof/rest/promise_probe.hpp"
#include "proof/rest/shown.hpp"
#include "proof/search/worst_case.hpp"
#include "proof/verdict.hpp"

namespace gapwright {
namespace {

// The measure's index among those that there are, added where it is new.
std::size_t add_measure(std::size_t state, const Probe& probe, std::vector<Measure>& measures) {
    const Measure measure{static_cast<StateIndex>(state), probe};
    const auto found = std::ranges::find(measures, measure);
    const auto index = static_cast<std::size_t>(found - measures.begin());
    if (found == measures.end()) measures.push_back(measure);
    return index;
}

// The target stands for both ends; only that of `deciding` is derated and decides, or both.
BothEnds add_targets(Target target, std::optional<Sense> deciding, std::vector<Target>& targets) {
    const BothEnds ends{target.measure, targets.size(), targets.size() + 1};
    const auto derating = target.derating;
    for (const Sense sense : {Sense::at_least, Sense::at_most}) {
        target.sense = sense;
        target.derating = sense == Sense::at_most ? derating : std::nullopt;
        target.decides = !deciding || sense == *deciding;
        targets.push_back(target);
    }
    return ends;
}

std::vector<std::size_t> add_shown(std::size_t state, const std::vector<Shown>& shown,
                                   std::vector<Measure>& measures) {
    std::vector<std::size_t> indices;
    for (const auto& one : shown) indices.push_back(add_measure(state, one.probe, measures));
    return indices;
}

}  // namespace

RestTargets rest_targets(const Link& link, const LinkCircuit& circuit,
                         const std::vector<StatePoint>& nominal) {
    RestTargets sought;
    for (const auto& promise : link.promises) {
        if (!promise.at_rest()) continue;
        const auto measure =
            add_measure(promise.state, promise_probe(promise, circuit), sought.measures);
        const std::size_t own = sought.targets.size();
        const auto ends = add_targets({.measure = measure, .derating = {}, .kin = own},
                                      std::nullopt, sought.targets);
        sought.targets[ends.lowest].promised = promise.at_least.has_value();
        sought.targets[ends.highest].promised = promise.at_most.has_value();
        sought.promises.push_back({&promise, ends});
    }
    auto ratings = ratings_of(link, circuit);
    std::ranges::move(level_ratings(link, circuit, nominal), std::back_inserter(ratings));
    std::map<std::tuple<std::size_t, bool, Key>, std::size_t> kin;
    for (auto& rating : ratings) {
        const std::tuple limit(rating.part, rating.receiver, rating.limit);
        const Target target{.measure = add_measure(rating.state, rating.probe, sought.measures),
                            .magnitude = rating.magnitude,
                            .derating = rating.derating,
                            .kin = kin.try_emplace(limit, sought.targets.size()).first->second};
        const auto ends = add_targets(target, rating.sense, sought.targets);
        sought.ratings.push_back({std::move(rating), ends});
    }
    const auto currents = shown_currents(link, circuit);
    const auto voltages = shown_voltages(link);
    for (std::size_t s = 0; s < nominal.size(); ++s) {
        auto of_currents = add_shown(s, currents, sought.measures);
        auto of_voltages = add_shown(s, voltages, sought.measures);
        sought.shown.push_back({std::move(of_currents), std::move(of_voltages)});
    }
    for (const auto& m : sought.measures) {
        sought.nominal.push_back(measure(m.probe, nominal[to_index(m.state)]));
    }
    return sought;
}

}  // namespace gapwright
