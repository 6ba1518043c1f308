// The gap of a schematic: the strip that no wire crosses, and the light that does.
#pragma once

#include <string>
#include <vector>

#include "draw/picture.hpp"
#include "draw/schematic.hpp"
#include "draw/schematic_layout.hpp"

namespace gapwright::schematic {

inline constexpr double strip_margin = 22;  // on either side of the strip

// The light of one gap, from its emitter to its receiver.
struct Light {
    std::string name;
    std::string body;  // what a packaged gap is; empty for parts on either side of open air
    Shine shine = Shine::dark;
    Point emitter;  // centres of the symbols
    Point receiver;
    double reach = 0;       // how far the receiver's leads come towards the light
    double words_from = 0;  // between these nothing but light stands at its height
    double words_to = 0;

    bool level() const;
};

// How far the output side stands right of the input side: room for the strip and its words.
double output_shift(const SchematicInput& input, const SideLayout& left, const SideLayout& right);

std::vector<Light> lights_of(const SchematicInput& input, const SideLayout& left,
                             const SideLayout& right, double output_shift);

// A beam as strong as the light; where it is dark, its way alone. Drawn before what it falls on.
void draw_light(Picture& picture, const Light& light);

// The outline of a packaged gap with its name.
void draw_body(Picture& picture, const Light& light);

// The strip about `middle`, from the supplies' height down. `measure`: how far the sides of an open
// pair stand apart; empty for none.
void draw_strip(Picture& picture, double middle, double bottom, const std::string& measure);

}  // namespace gapwright::schematic
