#include "draw/probe.hpp"

#include "draw/picture.hpp"

namespace gapwright {
namespace {

constexpr double words_size = 12;
constexpr double beside = 4;
constexpr double drop = 5;  // of the words' line below the lead's end

}  // namespace

Point end_of(const Probe& probe) {
    return {probe.tip.x + probe.reach.x, probe.tip.y + probe.reach.y};
}

Box words_box(const Probe& probe) {
    const double width = text_width(probe.words, words_size) * 1.08;  // bold is wider
    const Point end = end_of(probe);
    const double left = probe.reach.x < 0 ? end.x - beside - width : end.x + beside;
    return {left, end.y + drop - words_size, left + width, end.y + drop + 3};
}

void draw_probe(Picture& picture, const Probe& probe) {
    const bool to_left = probe.reach.x < 0;
    const Point end = end_of(probe);
    picture.begin_group(probe.red ? "probe red" : "probe black");
    picture.line({probe.tip, end}, "casing");
    picture.line({probe.tip, end}, "ink");
    picture.circle(probe.tip, 5, "tip");
    picture.text({end.x + (to_left ? -beside : beside), end.y + drop}, probe.words, "name over",
                 to_left ? Anchor::end : Anchor::start, words_size);
    picture.end_group();
}

}  // namespace gapwright
