// Nelder and Mead's simplex (The Computer Journal 7, 1965) within a box, for a greatest value. It
// asks for values instead of working them out, so that many simplexes can be stepped together.
#pragma once

#include <vector>

#include "reference/outside_box.hpp"

namespace gapwright::reference {

class Simplex {
  public:
    // Corners lie `size` apart from `start` along each axis, towards the inside of the box.
    Simplex(const Spot& start, double size);

    // The spots that the next step depends on; `take` wants their values in the same order.
    std::vector<Spot> asks() const;
    void take(const std::vector<double>& values);

  private:
    struct Corner {
        Spot spot;
        double value = 0;
    };
    // From the lowest corner through the middle of the others, so far beyond it.
    Spot beyond_middle(double factor) const;
    void sort();

    std::vector<Corner> corners_;  // the greatest first
    bool to_measure_ = true;       // all corners: at first, and after a shrink
};

}  // namespace gapwright::reference
