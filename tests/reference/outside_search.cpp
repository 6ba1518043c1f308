#include "reference/outside_search.hpp"

#include <algorithm>
#include <cmath>

#include "reference/outside_box.hpp"
#include "reference/outside_simplex.hpp"

namespace gapwright::reference {
namespace {

struct Member {
    Spot spot;
    double badness = -std::numeric_limits<double>::infinity();
};
using Crowd = std::vector<Member>;  // of one aim

bool worse(const Member& a, const Member& b) {
    return a.badness < b.badness;
}

// Storn and Price's "rand/1/bin", half of the time from the best one ("best/1/bin"), with a weight
// drawn anew each time. What leaves the box is put on its edge, where worst cases often lie.
Spot crossed(const Crowd& crowd, std::size_t own, Random& random) {
    std::uniform_real_distribution<double> share(0, 1);
    const auto any = [&]() -> const Spot& { return crowd[random() % crowd.size()].spot; };
    const Spot& from = share(random) < 0.5 ? any() : std::ranges::max_element(crowd, worse)->spot;
    const Spot& plus = any();
    const Spot& minus = any();
    const double weight = 0.3 + 0.7 * share(random);
    const double rate = share(random) < 0.5 ? 0.9 : 0.2;
    Spot spot = crowd[own].spot;
    const std::size_t certain = random() % spot.size();
    for (std::size_t k = 0; k < spot.size(); ++k) {
        if (k != certain && share(random) >= rate) continue;
        spot[k] = std::clamp(from[k] + weight * (plus[k] - minus[k]), 0.0, 1.0);
    }
    return spot;
}

// Each aim takes over the worst of all spots that were solved for any.
void take_over(const std::vector<Spot>& spots, const std::vector<std::vector<double>>& badness,
               std::vector<Crowd>& crowds, Random& random) {
    for (std::size_t aim = 0; aim < crowds.size(); ++aim) {
        const auto at = std::ranges::max_element(
            badness, {}, [&](const std::vector<double>& row) { return row[aim]; });
        const double best = (*at)[aim];
        if (best <= std::ranges::max_element(crowds[aim], worse)->badness) continue;
        const auto spot = static_cast<std::size_t>(at - badness.begin());
        crowds[aim][random() % crowds[aim].size()] = {spots[spot], best};
    }
}

// Every aim's crowd after so many generations; its worst member for each aim.
std::vector<Member> evolved(const OutsideBox& box, std::size_t aims, int generations,
                            Random& random) {
    const std::size_t members = std::clamp<std::size_t>(2 * box.axes(), 16, 40);
    std::vector<Crowd> crowds(aims, Crowd(members));
    for (int generation = 0; generation <= generations; ++generation) {
        std::vector<Spot> trials;
        for (const auto& crowd : crowds) {
            for (std::size_t k = 0; k < members; ++k) {
                trials.push_back(generation == 0 ? random_spot(box.axes(), random)
                                                 : crossed(crowd, k, random));
            }
        }
        const auto badness = box.badness(trials);
        for (std::size_t aim = 0; aim < aims; ++aim) {
            for (std::size_t k = 0; k < members; ++k) {
                const std::size_t trial = aim * members + k;
                Member& member = crowds[aim][k];
                if (generation > 0 && badness[trial][aim] < member.badness) continue;
                member = {trials[trial], badness[trial][aim]};
            }
        }
        take_over(trials, badness, crowds, random);
    }
    std::vector<Member> all;
    for (const auto& crowd : crowds) all.push_back(*std::ranges::max_element(crowd, worse));
    return all;
}

// One coordinate after another, in ever smaller steps, for all aims side by side.
void along_axes(const OutsideBox& box, std::vector<Member>& found) {
    for (const double step : {1.0, 0.3, 0.1, 0.03, 0.01, 0.003, 0.0005}) {
        for (std::size_t axis = 0; axis < box.axes(); ++axis) {
            std::vector<Spot> trials;
            for (const auto& member : found) {
                for (const double way : {-1.0, 1.0}) {
                    trials.push_back(member.spot);
                    double& x = trials.back()[axis];
                    x = std::clamp(x + way * step, 0.0, 1.0);
                }
            }
            const auto badness = box.badness(trials);
            for (std::size_t k = 0; k < trials.size(); ++k) {
                Member& member = found[k / 2];
                if (badness[k][k / 2] > member.badness) {
                    member = {trials[k], badness[k][k / 2]};
                }
            }
        }
    }
}

// A simplex for each aim, all stepped together.
void by_simplex(const OutsideBox& box, int steps, double size, std::vector<Member>& found) {
    std::vector<Simplex> simplexes;
    for (const auto& member : found) simplexes.emplace_back(member.spot, size);
    for (int step = 0; step < steps; ++step) {
        std::vector<Spot> asked;
        std::vector<std::size_t> begins;
        for (auto& simplex : simplexes) {
            begins.push_back(asked.size());
            for (auto& spot : simplex.asks()) asked.push_back(std::move(spot));
        }
        begins.push_back(asked.size());
        const auto badness = box.badness(asked);
        for (std::size_t aim = 0; aim < simplexes.size(); ++aim) {
            std::vector<double> told;
            for (std::size_t k = begins[aim]; k < begins[aim + 1]; ++k) {
                told.push_back(badness[k][aim]);
                if (told.back() > found[aim].badness) found[aim] = {asked[k], told.back()};
            }
            simplexes[aim].take(told);
        }
    }
}

}  // namespace

double Aim::badness(double measured, double temperature) const {
    if (std::isnan(measured)) return -std::numeric_limits<double>::infinity();
    double value = size ? std::abs(measured) : measured;
    if (one_way) value = std::max(value, 0.0);
    if (least) return -value;
    return derating ? value / derating->share(temperature) : value;
}

std::vector<Worst> worst_from_outside(const LinkCircuit& circuit, const ConditionRanges& ranges,
                                      const std::vector<Aim>& aims, const Effort& effort,
                                      std::uint64_t seed) {
    const OutsideBox box(circuit, ranges, aims);
    std::vector<Worst> all(aims.size());
    if (box.axes() == 0) return all;
    Random random(seed);
    for (int restart = 0; restart < effort.restarts; ++restart) {
        auto found = evolved(box, aims.size(), effort.generations, random);
        along_axes(box, found);
        by_simplex(box, effort.simplex_steps, 0.1, found);
        by_simplex(box, effort.simplex_steps, 0.01, found);
        along_axes(box, found);
        for (std::size_t aim = 0; aim < aims.size(); ++aim) {
            if (!(found[aim].badness > all[aim].badness)) continue;
            all[aim] = {found[aim].badness, box.specimen(found[aim].spot)};
        }
    }
    return all;
}

}  // namespace gapwright::reference
