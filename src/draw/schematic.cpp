#include "draw/schematic.hpp"

#include <algorithm>

#include "circuit/index.hpp"
#include "draw/gap_light.hpp"
#include "draw/meter_leads.hpp"
#include "draw/picture.hpp"
#include "draw/schematic_layout.hpp"
#include "draw/schematic_side.hpp"

namespace gapwright {

SchematicInput without_words(SchematicInput input) {
    input.words = false;
    input.gap_measure.clear();
    for (SchematicSide* side : {&input.input, &input.output}) {
        side->supply_note.clear();
        side->nodes.clear();
        side->wordless = true;
        for (auto& strand : side->strands) {
            for (auto& part : strand.parts) {
                part.notes.clear();
                part.body = part.body.empty() ? "" : " ";
            }
        }
    }
    return input;
}

Picture draw_schematic(const SchematicInput& input) {
    Picture picture(input.title, input.description);
    if (!input.words) picture.mute();
    if (input.meter) picture.begin_group("aside");
    auto left = schematic::lay_out(input.input, true);
    auto right = schematic::lay_out(input.output, false);
    schematic::level_gaps(input.input, left, input.output, right);
    const double shift = schematic::output_shift(input, left, right);
    const auto lights = schematic::lights_of(input, left, right, shift);
    for (const auto& light : lights) schematic::draw_light(picture, light);
    const auto input_side = draw_side(picture, Side::input, input.input, left, 0, lights);
    const auto output_side = draw_side(picture, Side::output, input.output, right, shift, lights);
    schematic::draw_strip(picture, (left.right + right.left + shift) / 2,
                          std::max(input_side.bottom, output_side.bottom), input.gap_measure);
    for (const auto& light : lights) schematic::draw_body(picture, light);
    if (!input.meter) return picture;
    picture.end_group();
    draw_meter(picture, *input.meter, input_side, output_side);
    return picture;
}

}  // namespace gapwright
