#include "reference/drawn_charts/recipe_makers.hpp"

#include <array>

namespace gapwright::drawn_charts {
namespace {

Look some_look(int number, Dice& dice) {
    Look look;
    look.grid = number % 3 == 2 ? Grid::none : Grid::fine;
    look.box = dice.below(4) != 0;
    look.ticks_inside = dice.below(3) == 0;
    look.smooth = dice.below(5) != 0;
    look.zoom = std::array{1.0, 1.25, 1.5, 2.0}[static_cast<std::size_t>(dice.below(4))];
    look.stroke = dice.between(1.2, 2.4);
    look.font = dice.below(2) == 0 ? "DejaVu Sans" : "DejaVu Serif";
    look.ink = dice.below(3) == 0 ? Ink::one_colour : Ink::black;
    return look;
}

Recipe on_paper(Recipe recipe, int number) {
    recipe.look.zoom = 2;
    recipe.look.smooth = true;
    if (number % 3 == 1) recipe.look.labels = Labels::near_curve;
    return recipe;
}

}  // namespace

Recipe some_chart(Kind kind, int curves, int number, Dice& dice) {
    Recipe recipe;
    recipe.kind = kind;
    recipe.curves = curves;
    recipe.look = some_look(number, dice);
    return recipe;
}

Recipe family(int number, Dice& dice) {
    return some_chart(turn(family_kinds, number), 3 + number % 4, number, dice);
}

Recipe coloured(Recipe recipe) {
    recipe.look.ink = Ink::colours;
    return recipe;
}

Recipe crossing(int number, Dice& dice) {
    const Kind kind = number % 2 == 0 ? Kind::temperature : Kind::transfer_crossing;
    Recipe recipe = some_chart(kind, 3, number, dice);
    recipe.seeds = 3;
    return recipe;
}

Recipe with_labels(int number, Dice& dice) {
    Recipe recipe = family(number, dice);
    recipe.look.labels = std::array{Labels::near_curve, Labels::breaking_it, Labels::at_its_end,
                                    Labels::with_leader}[static_cast<std::size_t>(number % 4)];
    return recipe;
}

Recipe with_legend(Legend legend, int number, Dice& dice) {
    Recipe recipe = family(number, dice);
    if (number % 2 == 0) recipe.look.ink = Ink::colours;
    recipe.look.legend = legend;
    return recipe;
}

Recipe scan(Recipe recipe, int number) {
    recipe = on_paper(recipe, number);
    recipe.look.zoom = number % 2 == 0 ? 1.5 : 2;
    recipe.look.ink = Ink::black;
    if (number % 4 == 3) recipe.look.grid = Grid::heavy;
    recipe.medium = number % 5 == 4 ? Medium::fax : Medium::scan;
    return recipe;
}

Recipe photo(Recipe recipe, int number, Dice& dice) {
    recipe = on_paper(recipe, number);
    recipe.look.box = true;  // a corner has to be there to be marked
    if (number % 4 == 3) recipe.look.grid = Grid::heavy;
    recipe.medium = Medium::photo;
    recipe.tilt = dice.between(5, 20);
    recipe.width = std::array{1280, 1600, 2400}[static_cast<std::size_t>(number % 3)];
    recipe.marks = number % 4 == 1 ? 6 : 4;
    return recipe;
}

Recipe rough(Recipe recipe) {
    recipe.rough = true;
    recipe.width = 1200;
    return recipe;
}

Recipe single(int number, Dice& dice) {
    return some_chart(
        number % 2 == 0 ? turn(linear_kinds, number / 2) : turn(decade_kinds, number / 2), 1,
        number, dice);
}

const std::vector<Style>& styles() {
    static const std::vector<Style> all = [] {
        std::vector<Style> both = drawn_styles();
        for (const Style& style : taken_styles()) both.push_back(style);
        return both;
    }();
    return all;
}

}  // namespace gapwright::drawn_charts
