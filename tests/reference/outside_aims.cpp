#include "reference/outside_aims.hpp"

#include <algorithm>
#include <stdexcept>

#include "proof/limits/ratings.hpp"
#include "proof/rest/promise_probe.hpp"

namespace gapwright::reference {
namespace {

std::vector<Rating> all_ratings(const Link& link, const LinkCircuit& circuit) {
    auto all = ratings_of(link, circuit);
    const Specimen nominal = nominal_specimen(circuit, condition_ranges(link));
    const auto points = solve_link(circuit.circuit, nominal.values, nominal.conditions);
    if (!points) throw std::runtime_error("the nominal specimen has no solution");
    for (auto& rating : level_ratings(link, circuit, *points)) all.push_back(std::move(rating));
    return all;
}

void add_promise(const Promise& promise, const PromiseResult& result, const LinkCircuit& circuit,
                 std::vector<Told>& all) {
    Aim aim{{static_cast<StateIndex>(promise.state), promise_probe(promise, circuit)}};
    const std::string name = result.state + " " + result.quantity;
    if (result.at_most) all.push_back({name + " at most", aim, result.highest, *result.at_most});
    aim.least = true;
    if (result.at_least) {
        all.push_back({name + " at least", aim, -result.lowest, *result.at_least});
    }
}

void add_limit(const Rating& rating, const RatingResult& result, std::vector<Told>& all) {
    const Aim aim{.measure = {static_cast<StateIndex>(rating.state), rating.probe},
                  .least = rating.sense == Sense::at_least,
                  .size = rating.magnitude,
                  .one_way = rating.one_way,
                  .derating = rating.derating};
    double badness = aim.least ? -result.worst() : result.worst();
    if (rating.derating) badness /= result.bound / result.rated;
    all.push_back({result.state + " " + result.part + " " + std::string(key_name(result.limit)),
                   aim, badness, result.rated});
}

}  // namespace

std::vector<Told> told_by(const Link& link, const LinkCircuit& circuit, const Proof& proof) {
    std::vector<Told> all;
    for (std::size_t k = 0; k < link.promises.size(); ++k) {
        if (!link.promises[k].at_rest()) continue;
        add_promise(link.promises[k], proof.promises.at(k), circuit, all);
    }
    const auto ratings = all_ratings(link, circuit);
    for (const auto& result : proof.ratings) {
        if (!link.find_state(result.state)) continue;  // on the way from one to another
        const auto rating = std::ranges::find_if(ratings, [&](const Rating& r) {
            const std::string& part = link.parts[r.part].name;
            return link.states[r.state].name == result.state && r.limit == result.limit &&
                   (r.receiver ? part + ".receiver" : part) == result.part;
        });
        if (rating == ratings.end()) {
            throw std::logic_error("no limit " + result.part + " " +
                                   std::string(key_name(result.limit)));
        }
        add_limit(*rating, result, all);
    }
    return all;
}

}  // namespace gapwright::reference
