#include "draw/gap_light.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "draw/dimension_line.hpp"
#include "draw/picture.hpp"
#include "draw/schematic.hpp"
#include "draw/schematic_layout.hpp"
#include "draw/symbols.hpp"

namespace gapwright::schematic {
namespace {

constexpr double strip_width = 52;
constexpr double name_size = 13;
constexpr double note_size = 12;
constexpr double body_above = 38;  // of a packaged gap's outline, from its light
constexpr double body_below = 30;
constexpr double body_side = 18;   // beyond the wires of emitter and receiver
constexpr double half_width = 12;  // of the emitter's symbol, and a little

std::string_view shine_name(Shine shine) {
    switch (shine) {
        case Shine::dark:
            return "dark";
        case Shine::weak:
            return "weak";
        case Shine::medium:
            return "medium";
        case Shine::strong:
            break;
    }
    return "strong";
}

double label_width(const Light& light) {
    return text_width(light.name, name_size) + text_width(light.body, note_size) + 8;
}

// Each half of a gap on a side: its part and the centre of its symbol.
std::vector<std::pair<const SchematicPart*, Point>> halves(const SchematicSide& side,
                                                           const SideLayout& layout) {
    std::vector<std::pair<const SchematicPart*, Point>> found;
    for (const auto& column : layout.columns) {
        const auto& parts = side.strands[column.strand].parts;
        for (std::size_t k = 0; k < parts.size(); ++k) {
            if (parts[k].at_gap) found.emplace_back(&parts[k], Point{column.x, column.y[k]});
        }
    }
    return found;
}

double reach_of(const SchematicPart& receiver) {
    return receiver.control_node ? part_width(receiver).left + 14 : 14;
}

}  // namespace

bool Light::level() const {
    constexpr double same = 1;
    return std::abs(emitter.y - receiver.y) < same;
}

double output_shift(const SchematicInput& input, const SideLayout& left, const SideLayout& right) {
    double shift = left.right + 2 * strip_margin + strip_width - right.left;
    for (const auto& light : lights_of(input, left, right, shift)) {
        if (light.body.empty()) continue;
        const double room = light.words_to - light.words_from;
        shift += std::max(0.0, label_width(light) + 16 - room);
    }
    return shift;
}

std::vector<Light> lights_of(const SchematicInput& input, const SideLayout& left,
                             const SideLayout& right, double output_shift) {
    std::vector<Light> lights;
    const auto receivers = halves(input.output, right);
    for (const auto& [emitter, at] : halves(input.input, left)) {
        const auto same = [&](const auto& half) { return half.first->name == emitter->name; };
        const auto receiver = std::ranges::find_if(receivers, same);
        if (receiver == receivers.end()) continue;
        const Point to{receiver->second.x + output_shift, receiver->second.y};
        const double reach = reach_of(*receiver->first);
        // Past the outermost column stands what belongs to others.
        const bool last = at.x >= left.columns.back().x;
        const bool first = receiver->second.x <= right.columns.front().x;
        lights.push_back({.name = emitter->name,
                          .body = emitter->body,
                          .shine = emitter->shine,
                          .emitter = at,
                          .receiver = to,
                          .reach = reach,
                          .words_from = last ? at.x + half_width : left.right,
                          .words_to = first ? to.x - reach : right.left + output_shift + 16});
    }
    return lights;
}

void draw_light(Picture& picture, const Light& light) {
    const Point from{light.emitter.x + half_width, light.emitter.y};
    const Point to{light.receiver.x - light.reach, light.receiver.y};
    const std::string css(shine_name(light.shine));
    picture.begin_group("beam " + css, fmt::format("data-light=\"{}\"", xml_escaped(light.name)));
    picture.path(fmt::format("M{0:.1f} {1:.1f}L{2:.1f} {3:.1f}v18L{0:.1f} {4:.1f}Z", from.x,
                             from.y - 5, to.x, to.y - 9, from.y + 5),
                 "spread");
    for (const double side : {-1.0, 1.0}) {
        const Point tip{to.x, to.y + 5 * side};
        picture.line({{from.x, from.y + 4 * side}, {tip.x - 6, tip.y}}, "ray");
        picture.path(fmt::format("M{:.1f} {:.1f}l-8 -3v6Z", tip.x, tip.y), "glow");
    }
    picture.end_group();
}

void draw_body(Picture& picture, const Light& light) {
    if (light.body.empty() || !light.level()) return;
    const double top = light.emitter.y - body_above;
    const double bottom = light.emitter.y + body_below;
    picture.rectangle({light.emitter.x - body_side, top, light.receiver.x + body_side, bottom},
                      "outline", 3);
    const double begin = (light.words_from + light.words_to - label_width(light)) / 2;
    picture.begin_group("part", fmt::format("data-part=\"{}\"", xml_escaped(light.name)));
    picture.text({begin, top + 16}, light.name, "name over", Anchor::start, name_size);
    picture.text({begin + text_width(light.name, name_size) + 8, top + 16}, light.body,
                 "small over", Anchor::start, note_size);
    picture.end_group();
}

void draw_strip(Picture& picture, double middle, double bottom, const std::string& measure) {
    const Box strip{middle - strip_width / 2, 0, middle + strip_width / 2, bottom};
    picture.rectangle(strip, "gap");
    for (double y = strip.top; y + 12 <= strip.bottom; y += 12) {
        picture.line({{strip.left, y + 12}, {strip.left + 10, y}}, "thin");
        picture.line({{strip.right - 10, y + 12}, {strip.right, y}}, "thin");
    }
    picture.text({middle, strip.top - 9}, "gap", "light", Anchor::middle, note_size);
    if (measure.empty()) return;
    draw_dimension(picture, strip.left, strip.right, strip.bottom + 12, strip.bottom + 3, measure);
}

}  // namespace gapwright::schematic
