// The box of all specimens of a link, as the search from outside takes it: every figure and
// condition that varies, scaled to 0 … 1, and many places of it solved at once.
#pragma once

#include <random>
#include <vector>

#include "population/engine.hpp"
#include "reference/outside_search.hpp"

namespace gapwright::reference {

using Spot = std::vector<double>;  // by axis, 0 … 1
using Random = std::mt19937_64;

class OutsideBox {
  public:
    OutsideBox(const LinkCircuit& circuit, const ConditionRanges& ranges,
               const std::vector<Aim>& aims);
    OutsideBox(const OutsideBox&) = delete;  // the engine refers to what it was made of
    OutsideBox& operator=(const OutsideBox&) = delete;

    std::size_t axes() const { return axes_.size(); }
    Specimen specimen(const Spot& spot) const;

    // By spot and aim: how bad; minus infinity where a specimen has no solution.
    std::vector<std::vector<double>> badness(const std::vector<Spot>& spots) const;

  private:
    // A row of a specimen's numbers: a slot, or behind the slots temperature, light and age.
    struct Axis {
        std::size_t row;
        double lowest;
        double highest;
        bool decades;  // alike in the logarithm
    };
    double figure(const Axis& axis, double share) const;
    void add(std::size_t row, const Spread& spread);

    std::vector<Aim> aims_;
    std::vector<std::size_t> measure_of_;  // by aim
    std::vector<Axis> axes_;
    Specimen base_;
    std::optional<Engine> engine_;
};

// A spot within the box: anywhere, at its ends alone, or partly at its ends.
Spot random_spot(std::size_t axes, Random& random);

}  // namespace gapwright::reference
