// Quantities that depend on common causes: what is the same cause in two of them cancels in their
// difference (affine forms; from memory: Comba & Stolfi 1993). Internal to the layer.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "device/interval.hpp"

namespace gapwright {

// centre + Σ slope · cause + rest. Causes are deviations that lie anywhere in their intervals, each
// of which holds zero; missing slopes are zero. `centre` is narrow: rounding alone.
struct Affine {
    Interval centre{};
    Interval rest{};
    std::vector<Interval> slope{};

    // Adds factor · other.
    void add(const Interval& factor, const Affine& other) {
        centre = centre + factor * other.centre;
        add_deviation(factor, other);
    }
    void add_deviation(const Interval& factor, const Affine& other) {
        rest = rest + factor * other.rest;
        if (slope.size() < other.slope.size()) slope.resize(other.slope.size());
        for (std::size_t k = 0; k < other.slope.size(); ++k) {
            if (other.slope[k].nothing()) continue;
            slope[k] = slope[k] + factor * other.slope[k];
        }
    }
    void add_cause(std::size_t cause, const Interval& factor) {
        if (slope.size() <= cause) slope.resize(cause + 1);
        slope[cause] = slope[cause] + factor;
    }

    // How far from the centre the quantity may lie, for causes in these intervals.
    Interval deviation(std::span<const Interval> causes) const {
        Interval sum = rest;
        for (std::size_t k = 0; k < slope.size(); ++k) {
            if (!slope[k].nothing()) sum = sum + slope[k] * causes[k];
        }
        return sum;
    }
    Interval range(std::span<const Interval> causes) const { return centre + deviation(causes); }

    // The same with all causes from `kept` on taken into the rest.
    Affine with_causes(std::size_t kept, std::span<const Interval> causes) const {
        Affine result{centre, rest, {}};
        for (std::size_t k = 0; k < slope.size(); ++k) {
            if (k < kept) {
                result.slope.push_back(slope[k]);
            } else if (!slope[k].nothing()) {
                result.rest = result.rest + slope[k] * causes[k];
            }
        }
        return result;
    }
};

}  // namespace gapwright
