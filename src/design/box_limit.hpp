// Upper limits of the reserve that any set of a box of choices can have.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <utility>
#include <vector>

#include "circuit/enclosure.hpp"
#include "design/bounds.hpp"
#include "design/choice_tree.hpp"
#include "design/value_problem.hpp"
#include "device/interval.hpp"

namespace gapwright {

// For each resistor a node of its tree.
using BoxNodes = std::array<std::uint32_t, most_chosen>;

// By resistor: the power that it may take, W; infinite where none is stated.
using Powers = std::array<double, most_chosen>;

// One measured quantity and what is asked of it: a bound, or the two bounds of a level, of which
// one counts; which of them depends on the set, so that the greater reserve limits both.
struct BoxLimit {
    std::size_t measure = 0;
    std::vector<const Bound*> either;
};

class BoxLimits {
  public:
    BoxLimits(const ValueProblem& problem, const std::vector<ChoiceTree>& trees);

    const std::vector<BoxLimit>& limits() const { return limits_; }

    // The greatest power of each resistor's choices; that of one set.
    Powers of_box(const BoxNodes& box) const;
    Powers of_set(const ValueSet& set) const;

    // The most reserve to a limit at this temperature, K, where the measure lies in `measured`.
    double most(const BoxLimit& limit, const Interval& measured, double temperature,
                const Powers& powers) const;

    // The same for the whole box in one scenario, whose index is `number`; proven. Nothing where
    // the proof does not succeed. From any thread. `alone`: only this resistor has its range, and
    // the others stand halfway.
    std::optional<double> over(const BoxNodes& box, std::size_t limit, const Scenario& scenario,
                               std::size_t number, std::optional<std::size_t> alone = {});

    // Whether resistor `k` has a say in what the limit measures: those of the output side have none
    // on the input side.
    bool matters(std::size_t k, const BoxLimit& limit) const;

  private:
    const Enclosure& enclosure(std::size_t measure, const Scenario& scenario, std::size_t number);

    const ValueProblem& problem_;
    const std::vector<ChoiceTree>& trees_;
    std::vector<BoxLimit> limits_;
    std::vector<bool> on_input_;  // by chosen resistor
    std::mutex mutex_;
    std::map<std::pair<std::size_t, std::size_t>, std::unique_ptr<const Enclosure>> prepared_;
};

}  // namespace gapwright
