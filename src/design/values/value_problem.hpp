// The resistors of a link that are still to be chosen, and what measures a set of values for them.
//
// A Scenario is one specimen in which the chosen resistors stand at a place within their own
// tolerance: the reserve that a set has in some scenarios is an upper limit of the reserve that it
// has in all. The worst case of a set gives new scenarios.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <limits>
#include <memory>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "design/values/bounds.hpp"
#include "design/values/practice.hpp"
#include "design/values/score.hpp"
#include "design/values/stock.hpp"
#include "design/values/timed_scores.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/search/search_space.hpp"
#include "proof/search/worst_case.hpp"
#include "source/diagnostics.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// More resistors to be chosen no link of the trade has.
inline constexpr std::size_t most_chosen = 8;

// One choice of the stock for each resistor to be chosen, by index into Stock::choices.
using ValueSet = std::array<std::uint32_t, most_chosen>;

inline constexpr double at_nominal = -1;
// Where a value stands at this place in its tolerance.
double at_share(const Spread& spread, double share);
struct Scenario {
    std::vector<double> values;  // by ValueProblem's varied slots
    // By chosen resistor: where it stands in its tolerance, 0 lowest … 1 highest, or at_nominal.
    std::array<double, most_chosen> share{};
    Conditions conditions;
    bool timed = false;  // worst for a promise in time: those are only looked at there
    // Every spread is plenty_of_stretch times as wide: it counts for Score::want alone. `share` is
    // that of the spread as it is.
    bool stretched = false;

    bool operator==(const Scenario&) const = default;
};

// A set's worst case, found as a proof finds it.
struct WorstScore {
    Score score;
    std::vector<double> reserves;     // by bound; infinite where it does not count
    std::vector<Scenario> scenarios;  // by bound: where its reserve is least
    // By bound at rest: what is left of it there with every spread stretched; infinite where it
    // does not count.
    std::vector<double> stretched_reserves = {};
    std::vector<Scenario> stretched_scenarios = {};  // by bound: where that is
    std::size_t solved = 0;
    std::size_t alone = 0;  // of them by single points

    // Each once; none of those in time, nor of bounds that do not count.
    std::vector<Scenario> distinct_scenarios() const;
};

class ValueProblem {
  public:
    // Errors: those of build_circuit; too_large for more than most_chosen resistors; missing_key
    // where the stock has no resistor at all for one of them.
    static Expected<ValueProblem> of(const Link& link, Stock stock);

    const Link& link() const { return *link_; }  // with values to be overwritten
    const LinkCircuit& circuit() const { return *circuit_; }
    const Engine& engine() const { return *engine_; }
    const Stock& stock() const { return stock_; }
    const Bounds& bounds() const { return bounds_; }
    const std::vector<PracticeCheck>& practice() const { return practice_; }
    const std::vector<std::size_t>& parts() const { return parts_; }  // chosen, by part index
    std::size_t count() const { return parts_.size(); }
    // What may be chosen for resistor `k`, ascending by value.
    const std::vector<std::uint32_t>& options(std::size_t k) const { return options_[k]; }
    std::vector<std::vector<std::uint32_t>>& all_options() { return options_; }
    const ConditionRanges& ranges() const { return ranges_; }
    bool has_timed() const { return timed_ != nullptr; }

    Scenario nominal() const;

    // The scores of sets in `scenarios`, the nominal one besides. A set that turns out not to be
    // better than `hurdle` is left at that: its score is then only known not to be better.
    std::vector<Score> scores(std::span<const ValueSet> sets, std::span<const Scenario> scenarios,
                              const std::optional<Hurdle>& hurdle,
                              const EngineOptions& options) const;

    // What each set measures in each scenario: specimen number set · scenarios + scenario.
    Measurements measured(std::span<const ValueSet> sets, std::span<const Scenario> scenarios,
                          const EngineOptions& options) const;

    // The same at each set's own worst case, which is searched for as `check` does.
    WorstScore worst(const ValueSet& set, const EngineOptions& options,
                     Effort effort = Effort::thorough) const;

    // How far each check of good practice is missed, the worst of the nominal specimen and these
    // scenarios.
    std::vector<Shortfall> shortfalls(const ValueSet& set, std::span<const Scenario> scenarios,
                                      const EngineOptions& options) const;

    // What of a set's want comes from bounds that no value moves: whose reserve, stretched, stays
    // as it is with the values next to each of the set's.
    // Only promises and limits of parts that `is_given` counts: another draft may bring another.
    double fixed_want(const ValueSet& set, const WorstScore& worst,
                      const std::function<bool(const Part&)>& is_given,
                      const EngineOptions& options) const;

    // The link with these values in place: singles as they are, joints as one resistor.
    Link link_with(const ValueSet& set) const;

    const Choice& choice(const ValueSet& set, std::size_t k) const {
        return stock_.choices[set[k]];
    }
    bool in_stock(const ValueSet& set) const;

    // The same problem whose engine is made about a set: quicker for sets near it.
    ValueProblem about(const ValueSet& set) const;

    // The same resistors with other choices on offer: `stock` for resistor `which`, for the others
    // only what `set` has. In its sets, resistors but `which` have the choice of their own number
    // after the stock's: see `set_along`.
    ValueProblem along(const ValueSet& set, std::size_t which, Stock stock) const;
    // The set of that problem in which resistor `which` has choice number `choice` of its stock.
    ValueSet set_along(std::size_t which, std::uint32_t choice) const;

    // Where a specimen keeps the resistance of chosen resistor `k`.
    Slot slot(std::size_t k) const { return slots_[k]; }

    // The specimen of a scenario; its chosen resistors hold nothing of meaning.
    Specimen specimen_of(const Scenario& scenario) const;

    // A specimen as a scenario: with this set's values its resistors stand where they stand there.
    Scenario scenario_of(const Specimen& specimen, const ValueSet& set) const;

  private:
    ValueProblem() = default;
    friend class Scorer;
    void make_engine();
    // The circuit with the spreads that a set's values bring along.
    LinkCircuit circuit_with(const ValueSet& set) const;
    void look_in_time(const ValueSet& set, const EngineOptions& options, WorstScore& result) const;
    void look(const ValueSet& set, const std::vector<std::size_t>& bounds,
              std::span<const std::uint8_t> high, Effort effort, const EngineOptions& options,
              WorstScore& result) const;
    void look_stretched(const ValueSet& set, std::span<const std::uint8_t> high,
                        const EngineOptions& options, WorstScore& result) const;
    // The circuit of a set with every spread stretched, as far as nature allows.
    std::pair<LinkCircuit, ConditionRanges> stretched_circuit(const ValueSet& set) const;
    Scenario stretched_scenario_of(Specimen specimen, const ValueSet& set) const;
    // Where chosen resistor `k` stands in a scenario, Ω.
    double ohms_at(const Choice& choice, const Scenario& scenario, std::size_t k) const;

    SpecimenSource specimens(std::size_t sets, std::span<const Scenario> scenarios,
                             std::function<const ValueSet&(std::size_t)> set) const;

    // The bound's value for this set, or nothing where the bound does not count: the power of parts
    // that state none; a level that is nominally on the other side (`high`, by level), or on which
    // it is not known.
    static constexpr std::uint8_t unknown_side = 2;
    std::optional<double> rated(const Bound& bound, const ValueSet& set,
                                std::span<const std::uint8_t> high) const;

    std::shared_ptr<const Link> link_;
    std::shared_ptr<const LinkCircuit> circuit_;
    std::shared_ptr<const Engine> engine_;
    std::shared_ptr<TimedScores> timed_;  // none without promises in time
    Stock stock_;
    Bounds bounds_;
    std::vector<PracticeCheck> practice_;
    ConditionRanges ranges_;
    std::optional<SearchSpace> space_;  // set by `of`
    std::vector<std::size_t> parts_;
    std::vector<Slot> slots_;   // of the chosen resistors' values
    std::vector<Slot> varied_;  // other slots that vary from specimen to specimen
    std::vector<std::vector<std::uint32_t>> options_;
    bool counts_matter_ = false;  // some value of the stock is there only so many times
};

}  // namespace gapwright
