#include "draw/dimension_line.hpp"

#include <fmt/format.h>
#include "draw/picture.hpp"

namespace gapwright {
namespace {

constexpr double head_length = 8;
constexpr double head_half = 2.6;
constexpr double size = 12;

// A head whose tip is at `tip` and points along `way`, a unit vector.
void head(Picture& picture, Point tip, Point way) {
    const Point base{tip.x - way.x * head_length, tip.y - way.y * head_length};
    const Point side{-way.y * head_half, way.x * head_half};
    picture.path(fmt::format("M{:.1f} {:.1f}L{:.1f} {:.1f}L{:.1f} {:.1f}Z", tip.x, tip.y,
                             base.x + side.x, base.y + side.y, base.x - side.x, base.y - side.y),
                 "solid");
}

}  // namespace

double head_reach(double span) {
    return span < 3 * head_length ? 2 * head_length : 0;
}

void draw_level_arrows(Picture& picture, double left, double right, double y) {
    const double reach = head_reach(right - left);
    const double inwards = reach > 0 ? 1 : -1;
    picture.line({{left - reach, y}, {right + reach, y}}, "thin");
    head(picture, {left, y}, {inwards, 0});
    head(picture, {right, y}, {-inwards, 0});
}

void draw_upright_arrows(Picture& picture, double x, double top, double bottom) {
    const double reach = head_reach(bottom - top);
    const double inwards = reach > 0 ? 1 : -1;
    picture.line({{x, top - reach}, {x, bottom + reach}}, "thin");
    head(picture, {x, top}, {0, inwards});
    head(picture, {x, bottom}, {0, -inwards});
}

void draw_dimension(Picture& picture, double left, double right, double y, double feet,
                    std::string_view measure) {
    for (const double x : {left, right}) picture.line({{x, feet}, {x, y + 4}}, "thin");
    draw_level_arrows(picture, left, right, y);
    picture.text({(left + right) / 2, y + 14}, measure, "small", Anchor::middle, size);
}

}  // namespace gapwright
