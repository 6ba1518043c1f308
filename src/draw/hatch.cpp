#include "draw/hatch.hpp"

#include <algorithm>
#include "draw/picture.hpp"

namespace gapwright {

void draw_forbidden(Picture& picture, const Box& box) {
    constexpr double pitch = 12;
    const double height = box.bottom - box.top;
    if (box.right - box.left < 1 || height < 1) return;
    picture.rectangle(box, "forbidden");
    for (double s = box.left - height; s < box.right; s += pitch) {
        const double from = std::max(s, box.left);
        const double to = std::min(s + height, box.right);
        if (from < to) {
            picture.line({{from, box.bottom - (from - s)}, {to, box.bottom - (to - s)}},
                         "forbidden");
        }
    }
}

}  // namespace gapwright
