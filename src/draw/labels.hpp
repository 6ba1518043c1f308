// Labels that stand beside what they name and clear of everything noted before.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "draw/axes.hpp"
#include "draw/picture.hpp"

namespace gapwright {

class Labels {
  public:
    // Labels stay within `paper`, in pixels.
    Labels(Picture& picture, const Box& paper) : picture_(picture), paper_(paper) {}

    void keep_clear_of(const Box& box) { taken_.push_back(box); }
    // Small boxes along a curve, given in the axes' units, as it lies on the paper.
    // `clear` is how far labels stay off, in pixels.
    void keep_clear_of(const Axes& axes, const std::vector<Point>& curve, double clear = 1.5);

    // As near to `at`, in pixels, as there is room, and where it stands. Without any room the label
    // is left out.
    std::optional<Box> put(Point at, const std::string& text, std::string_view css);

  private:
    bool is_free(const Box& box) const;

    Picture& picture_;
    Box paper_;
    std::vector<Box> taken_;
};

}  // namespace gapwright
