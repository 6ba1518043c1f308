#include "design/value_bound.hpp"

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <mutex>
#include <optional>
#include <queue>
#include <utility>
#include <vector>

#include "design/bounds.hpp"
#include "design/box_limit.hpp"
#include "design/choice_tree.hpp"
#include "design/value_problem.hpp"
#include "design/value_search.hpp"
#include "population/at_once.hpp"
#include "population/engine.hpp"
#include "proof/verdict.hpp"

namespace gapwright {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr std::size_t batch = 256;        // boxes that are looked into together
constexpr std::size_t attempts = 3;       // limits that are tried to exclude a box
constexpr std::size_t chunk = 1U << 15U;  // sets scored at once

struct Box {
    BoxNodes nodes{};
    double most = infinity;  // no set inside has more reserve
    std::size_t number = 0;  // in the order in which they were made
    // By resistor: how far it alone lets the reserve to one limit rise, infinite where no limit is
    // proven of it even alone; not a number where it is to be found out. Of halves those of their
    // whole stand in: they say where to halve and prove nothing.
    std::array<double, most_chosen> rise = unknown_rise();
    std::optional<std::size_t> rise_of = {};  // that limit

    static std::array<double, most_chosen> unknown_rise() {
        std::array<double, most_chosen> result{};
        result.fill(std::numeric_limits<double>::quiet_NaN());
        return result;
    }

    bool operator<(const Box& other) const {
        return std::pair(most, other.number) < std::pair(other.most, number);
    }
};

// A limit in the scenario in which it leaves the middle of a box least.
struct Pressure {
    std::size_t limit = 0;
    std::size_t scenario = 0;
    double reserve = infinity;
};

class Bounding {
  public:
    Bounding(const ValueProblem& problem, const SearchResult& found, const BoundOptions& options)
        : problem_(problem),
          options_(options),
          quick_(options.engine),
          end_(std::chrono::steady_clock::now() + options.time),
          scenarios_(found.scenarios),
          trees_(trees(problem, options.most_parts)),
          limits_(problem, trees_),
          best_(found.worst.score.reserve) {
        quick_.lanes_only = true;
        quick_.progress = {};
        if (scenarios_.empty()) scenarios_.push_back(problem.nominal());
    }

    std::optional<ValueBound> run() {
        Box all;
        all.most = most_of_all(all);
        open_.push(all);
        while (!open_.empty() && !ended()) look_into(take());
        result_.optimal = open_.empty() && unscored_ == -infinity;
        result_.most_possible = std::max({best_, excluded_, unscored_});
        if (!open_.empty()) {
            result_.most_possible = std::max(result_.most_possible, open_.top().most);
        }
        if (result_.most_possible == infinity) return std::nullopt;
        return result_;
    }

  private:
    static std::vector<ChoiceTree> trees(const ValueProblem& problem, std::size_t most_parts) {
        std::vector<ChoiceTree> result;
        for (std::size_t k = 0; k < problem.count(); ++k) {
            std::vector<std::uint32_t> fitting;
            for (const auto c : problem.options(k)) {
                if (problem.stock().choices[c].count <= most_parts) fitting.push_back(c);
            }
            result.emplace_back(problem.stock(), fitting);
        }
        return result;
    }

    // What all sets together have at most, proven at one go: wide limits, of which some hold all
    // the same; and no more than the whole of a limit is left of one that counts in its own
    // direction.
    double most_of_all(const Box& all) {
        double most = infinity;
        const auto& limits = limits_.limits();
        for (const auto& limit : limits) {
            const bool whole = std::ranges::all_of(limit.either, [](const Bound* bound) {
                return bound->sense == Sense::at_most && (bound->one_way || bound->magnitude) &&
                       !bound->chosen && bound->value > 0;
            });
            if (whole) most = std::min(most, 1.0);
        }
        std::mutex mutex;
        at_once(limits.size(), options_.engine, [&](std::size_t l) {
            for (std::size_t s = 0; s < scenarios_.size() && !ended(); ++s) {
                const auto limit = limits_.over(all.nodes, l, scenarios_[s], s);
                const std::lock_guard lock(mutex);
                if (limit) most = std::min(most, *limit);
            }
        });
        return most;
    }

    bool ended() const {
        return options_.engine.stop.stop_requested() || std::chrono::steady_clock::now() >= end_;
    }

    const ChoiceTree::Node& node(const Box& box, std::size_t k) const {
        return trees_[k].node(box.nodes[k]);
    }

    std::vector<Box> take() {
        std::vector<Box> boxes;
        while (!open_.empty() && boxes.size() < batch) {
            boxes.push_back(open_.top());
            open_.pop();
        }
        return boxes;
    }

    // Excludes, halves or looks through each of the boxes.
    void look_into(std::vector<Box> boxes) {
        std::vector<ValueSet> middles;
        for (const auto& box : boxes) middles.push_back(middle(box));
        const Measurements measured = problem_.measured(middles, scenarios_, quick_);
        std::vector<std::size_t> halved(boxes.size());
        at_once(boxes.size(), options_.engine, [&](std::size_t k) {
            const auto pressures = pressures_on(boxes[k], measured, k);
            find_rises(boxes[k], pressures.front());
            bool proven = false;
            if (std::ranges::find(boxes[k].rise, infinity) == boxes[k].rise.end()) {
                proven = limit(boxes[k], pressures);
            }
            halved[k] = to_halve(boxes[k], proven);
        });
        result_.boxes += boxes.size();
        std::vector<Box> small;
        for (std::size_t k = 0; k < boxes.size(); ++k) {
            if (boxes[k].most <= hurdle()) {
                excluded_ = std::max(excluded_, boxes[k].most);
            } else if (sets_in(boxes[k]) <= options_.few_sets || halved[k] == problem_.count()) {
                small.push_back(boxes[k]);
            } else {
                halve(boxes[k], halved[k]);
            }
        }
        look_through(small);
    }

    double hurdle() const { return best_ + equal_reserves; }

    ValueSet middle(const Box& box) const {
        ValueSet set{};
        for (std::size_t k = 0; k < problem_.count(); ++k) set[k] = node(box, k).middle;
        return set;
    }

    double sets_in(const Box& box) const {
        double sets = 1;
        for (std::size_t k = 0; k < problem_.count(); ++k) sets *= node(box, k).count;
        return sets;
    }

    // The limits, that which leaves the box's middle least reserve first.
    std::vector<Pressure> pressures_on(const Box& box, const Measurements& measured,
                                       std::size_t number) const {
        std::vector<Pressure> result;
        const auto& limits = limits_.limits();
        const Powers powers = limits_.of_box(box.nodes);
        for (std::size_t l = 0; l < limits.size(); ++l) {
            Pressure least{.limit = l};
            for (std::size_t s = 0; s < scenarios_.size(); ++s) {
                const double value = measured.at(number * scenarios_.size() + s, limits[l].measure);
                if (std::isnan(value)) continue;
                const double reserve =
                    limits_.most(limits[l], value, scenarios_[s].conditions.temperature, powers);
                if (reserve < least.reserve) least = {l, s, reserve};
            }
            result.push_back(least);
        }
        std::ranges::stable_sort(result, {}, &Pressure::reserve);
        return result;
    }

    // Lowers what the box has at most as far as is of use. Whether a proof succeeds for what
    // presses most.
    bool limit(Box& box, const std::vector<Pressure>& pressures) {
        bool proven = false;
        for (std::size_t k = 0; k < std::min(attempts, pressures.size()); ++k) {
            // Its middle is in the box.
            if (k > 0 && pressures[k].reserve > hurdle()) break;
            const auto& p = pressures[k];
            const auto most = limits_.over(box.nodes, p.limit, scenarios_[p.scenario], p.scenario);
            if (most) box.most = std::min(box.most, *most);
            if (k == 0) proven = most.has_value();
            if (box.most <= hurdle()) break;
        }
        return proven;
    }

    void find_rises(Box& box, const Pressure& pressure) {
        if (box.rise_of != pressure.limit) box.rise = Box::unknown_rise();
        box.rise_of = pressure.limit;
        for (std::size_t k = 0; k < problem_.count(); ++k) {
            if (!std::isnan(box.rise[k])) continue;
            box.rise[k] = -infinity;
            if (node(box, k).children == 0) continue;
            if (!limits_.matters(k, limits_.limits()[pressure.limit])) continue;
            box.rise[k] = limits_
                              .over(box.nodes, pressure.limit, scenarios_[pressure.scenario],
                                    pressure.scenario, k)
                              .value_or(infinity);
        }
    }

    // The resistor that does most to keep the box open. The number of resistors where none can be
    // halved.
    std::size_t to_halve(const Box& box, bool proven) const {
        std::size_t chosen = problem_.count();
        std::pair<double, double> most{};
        for (std::size_t k = 0; k < problem_.count(); ++k) {
            if (node(box, k).children == 0) continue;
            // Where only all of them together are too much for a proof, the widest goes first.
            const bool apart = proven || std::isinf(box.rise[k]);
            const std::pair rank(apart ? box.rise[k] : 0, node(box, k).width());
            if (chosen != problem_.count() && rank <= most) continue;
            chosen = k;
            most = rank;
        }
        return chosen;
    }

    void halve(const Box& box, std::size_t resistor) {
        for (std::uint32_t side = 0; side < 2; ++side) {
            Box half = box;
            half.nodes[resistor] = node(box, resistor).children + side;
            half.number = ++made_;
            half.rise[resistor] = std::numeric_limits<double>::quiet_NaN();
            open_.push(half);
        }
    }

    // --- set by set ---

    void look_through(const std::vector<Box>& boxes) {
        std::vector<ValueSet> sets;
        double most = -infinity;  // of the boxes in `sets`
        for (std::size_t b = 0; b < boxes.size(); ++b) {
            add_sets(boxes[b], sets);
            most = std::max(most, boxes[b].most);
            if (sets.size() < chunk && b + 1 < boxes.size()) continue;
            if (ended()) {
                unscored_ = std::max(unscored_, most);
            } else {
                score(sets);
            }
            sets.clear();
            most = -infinity;
        }
    }

    void add_sets(const Box& box, std::vector<ValueSet>& sets) const {
        ValueSet digits{};
        for (;;) {
            ValueSet set{};
            for (std::size_t k = 0; k < problem_.count(); ++k) {
                set[k] = trees_[k].choices(node(box, k))[digits[k]];
            }
            if (problem_.in_stock(set)) sets.push_back(set);
            std::size_t k = 0;
            while (k < problem_.count() && ++digits[k] == node(box, k).count) digits[k++] = 0;
            if (k == problem_.count()) return;
        }
    }

    // Drops sets that are no better in one scenario, as far as lanes settle them.
    void sift(std::vector<ValueSet>& sets, const Scenario& scenario) const {
        if (sets.empty()) return;
        const Measurements measured = problem_.measured(sets, {&scenario, 1}, quick_);
        std::size_t kept = 0;
        for (std::size_t k = 0; k < sets.size(); ++k) {
            const Powers powers = limits_.of_set(sets[k]);
            const bool out = std::ranges::any_of(limits_.limits(), [&](const BoxLimit& limit) {
                const double value = measured.at(k, limit.measure);
                return !std::isnan(value) &&
                       limits_.most(limit, value, scenario.conditions.temperature, powers) <=
                           hurdle();
            });
            if (!out) sets[kept++] = sets[k];
        }
        sets.resize(kept);
    }

    // Works out the worst case of the best set for as long as one has more reserve than the best.
    void score(std::vector<ValueSet> sets) {
        result_.sets += sets.size();
        for (const auto& scenario : scenarios_) sift(sets, scenario);
        while (!sets.empty()) {
            const Hurdle more{{.reserve = best_, .parts = 0, .current = 0}, Aim::most_reserve};
            const auto scores = problem_.scores(sets, scenarios_, more, options_.engine);
            std::vector<ValueSet> left;
            std::optional<std::size_t> best;
            for (std::size_t k = 0; k < sets.size(); ++k) {
                if (!better(scores[k], more.score, more.aim)) continue;
                left.push_back(sets[k]);
                if (!best || better(scores[k], scores[*best], more.aim)) best = k;
            }
            if (!best) return;
            std::erase(left, sets[*best]);
            work_out(sets[*best]);
            sets = std::move(left);
        }
    }

    void work_out(const ValueSet& set) {
        WorstScore worst = problem_.worst(set, options_.engine);
        const auto& reserves = worst.reserves;
        for (std::size_t b = 0; b < reserves.size(); ++b) {
            if (reserves[b] > hurdle()) continue;
            if (std::ranges::find(scenarios_, worst.scenarios[b]) != scenarios_.end()) continue;
            scenarios_.push_back(worst.scenarios[b]);
        }
        if (!(worst.score.reserve > hurdle())) return;
        best_ = worst.score.reserve;
        result_.better = BetterSet{set, std::move(worst)};
    }

    const ValueProblem& problem_;
    const BoundOptions& options_;
    EngineOptions quick_;  // for sets of which nothing is proven
    std::chrono::steady_clock::time_point end_;
    std::vector<Scenario> scenarios_;  // their numbers stay
    std::vector<ChoiceTree> trees_;
    BoxLimits limits_;
    double best_;                  // reserve of the best set known
    double excluded_ = -infinity;  // the most that an excluded box may have
    double unscored_ = -infinity;  // the most that boxes have for which there was no time
    std::priority_queue<Box> open_;
    std::size_t made_ = 0;
    ValueBound result_;
};

}  // namespace

std::optional<ValueBound> bound_values(const ValueProblem& problem, const SearchResult& found,
                                       const BoundOptions& options) {
    return Bounding(problem, found, options).run();
}

void prove_best(const ValueProblem& problem, std::size_t most_parts, double seconds,
                const EngineOptions& engine, SearchResult& found) {
    if (found.all_looked_at || found.stopped) return;
    const auto time = std::chrono::duration_cast<std::chrono::steady_clock::duration>(
        std::chrono::duration<double>(seconds));
    const ValueProblem about = problem.about(found.set);
    const auto bound =
        bound_values(about, found, {.time = time, .most_parts = most_parts, .engine = engine});
    if (!bound) return;
    if (bound->better) {
        found.set = bound->better->set;
        found.worst = bound->better->worst;
    }
    found.most_possible = bound->most_possible;
    found.all_looked_at = bound->optimal;
}

}  // namespace gapwright
