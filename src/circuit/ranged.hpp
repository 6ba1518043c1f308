// A specimen of which some figures lie anywhere in given ranges. Internal to the layer.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <span>
#include <vector>

#include "circuit/affine.hpp"
#include "circuit/index.hpp"
#include "device/interval.hpp"

namespace gapwright {

// A figure's range, by slot, in the figure's unit.
struct SlotRange {
    Slot slot;
    double lowest;
    double highest;
};

struct Ranged {
    std::vector<double> middle;      // by slot: where the network is solved
    std::vector<Interval> figures;   // by slot
    std::vector<Slot> slots;         // the ranged ones: causes 0 … of every affine form
    std::vector<Interval> causes{};  // how far each of them lies from the middle

    // Figures above zero are taken at the geometric middle: currents go as 1/R.
    Ranged(std::span<const double> values, std::span<const SlotRange> ranges)
        : middle(values.begin(), values.end()), figures(values.begin(), values.end()) {
        for (const auto& r : ranges) {
            const std::size_t k = to_index(r.slot);
            figures[k] = Interval(r.lowest, r.highest);
            const double centre =
                r.lowest > 0 ? std::sqrt(r.lowest) * std::sqrt(r.highest) : figures[k].middle();
            middle[k] = std::clamp(centre, r.lowest, r.highest);
            slots.push_back(r.slot);
            causes.push_back(figures[k] - Interval(middle[k]));
        }
    }

    Affine figure(Slot slot) const {
        Affine result{.centre = middle[to_index(slot)]};
        for (std::size_t k = 0; k < slots.size(); ++k) {
            if (slots[k] == slot) result.add_cause(k, 1.0);
        }
        return result;
    }
};

}  // namespace gapwright
