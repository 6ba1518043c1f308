#include "draw/labels.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>
#include "draw/axes.hpp"
#include "draw/picture.hpp"

namespace gapwright {

void Labels::keep_clear_of(const Axes& axes, const std::vector<Point>& curve, double clear) {
    constexpr double pitch = 4;
    for (std::size_t k = 0; k + 1 < curve.size(); ++k) {
        const Point from = axes.at(curve[k].x, curve[k].y);
        const Point to = axes.at(curve[k + 1].x, curve[k + 1].y);
        const double length = std::hypot(to.x - from.x, to.y - from.y);
        for (double s = 0; s <= length; s += pitch) {
            const double share = length > 0 ? s / length : 0;
            const Point p{std::lerp(from.x, to.x, share), std::lerp(from.y, to.y, share)};
            taken_.push_back({p.x - clear, p.y - clear, p.x + clear, p.y + clear});
        }
    }
}

std::optional<Box> Labels::put(Point at, const std::string& text, std::string_view css) {
    constexpr double size = 11;
    const double width = text_width(text, size);
    Box best{};
    double least = 1e300;
    for (double dy = -120; dy <= 120; dy += 4) {
        for (double dx = -width - 130; dx <= 130; dx += 6) {
            const Box box{at.x + dx, at.y + dy - 10, at.x + dx + width, at.y + dy + 4};
            const bool inside = box.left > paper_.left + 3 && box.right < paper_.right - 3 &&
                                box.top > paper_.top + 2 && box.bottom < paper_.bottom - 2;
            const Point nearest{std::clamp(at.x, box.left, box.right),
                                std::clamp(at.y, box.top, box.bottom)};
            const double away = std::hypot(nearest.x - at.x, nearest.y - at.y);
            if (!inside || away >= least || !is_free(box)) continue;
            least = away;
            best = box;
        }
    }
    if (least == 1e300) return std::nullopt;  // the picture's description still names it
    taken_.push_back(best.grown(2));
    // Widths are estimated from above: in the middle of its room a label is not far off.
    picture_.text({(best.left + best.right) / 2, best.bottom - 4}, text, css, Anchor::middle, size);
    return best;
}

bool Labels::is_free(const Box& box) const {
    return std::ranges::none_of(taken_, [&](const Box& other) { return box.overlaps(other); });
}

}  // namespace gapwright
