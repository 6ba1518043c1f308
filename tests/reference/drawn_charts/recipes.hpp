// The styles in which people have charts, and how each chart of a style is drawn, taken and
// clicked.
#pragma once

#include <string>
#include <vector>

#include "reference/drawn_charts/painter.hpp"

namespace gapwright::drawn_charts {

enum class Medium { png, jpeg, scan, fax, photo };
enum class Trap {
    none,
    on_samples,  // every seed lies on a legend's sample: nothing may be read
    on_others,   // seeds on lines of the grid, on texts, on the frame
    on_texts,    // each seed on a curve's label
    one_lost     // one seed lies where nothing is: the others must be written
};

struct Recipe {
    Kind kind = Kind::forward;
    int curves = 1;
    double apart = 1;
    Look look;
    Medium medium = Medium::png;
    double tilt = 0;  // degrees, of a photo
    int width = 1600;
    bool rough = false;
    int marks = 2;  // two for each axis; 4: the corners, 6: and between them, with both values
    bool marks_inside = false;  // at the second label and the last but one
    int seeds = 1;              // for each curve
    Trap trap = Trap::none;
    bool caution_due = false;  // marks cannot tell of the angle at which it was taken
};

struct Style {
    std::string name;
    int charts = 0;
    int in_subset = 0;
    Recipe (*recipe)(int number, Dice& dice) = nullptr;
};

const std::vector<Style>& styles();

}  // namespace gapwright::drawn_charts
