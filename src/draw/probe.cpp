#include "draw/probe.hpp"

#include <string_view>

#include "draw/picture.hpp"

namespace gapwright {

void draw_probe(Picture& picture, Point tip, bool red, bool to_left, std::string_view words) {
    constexpr double words_size = 12;
    const double way = to_left ? -1 : 1;
    const Point end{tip.x + way * 36, tip.y + 20};
    picture.begin_group(red ? "probe red" : "probe black");
    picture.line({tip, end}, "casing");
    picture.line({tip, end}, "ink");
    picture.circle(tip, 5, "tip");
    picture.text({end.x + way * 4, end.y + 5}, words, "name over",
                 to_left ? Anchor::end : Anchor::start, words_size);
    picture.end_group();
}

}  // namespace gapwright
