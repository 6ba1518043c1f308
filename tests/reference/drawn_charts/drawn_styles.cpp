#include "reference/drawn_charts/recipe_makers.hpp"

namespace gapwright::drawn_charts {

std::vector<Style> drawn_styles() {
    return {
        {"clean, linear", 8, 2,
         [](int n, Dice& d) { return some_chart(turn(linear_kinds, n), 1, n, d); }},
        {"clean, logarithmic", 8, 2,
         [](int n, Dice& d) { return some_chart(turn(decade_kinds, n), 1, n, d); }},
        {"family in one colour", 12, 2, family},
        {"family in colours", 12, 2, [](int n, Dice& d) { return coloured(family(n, d)); }},
        {"family close together", 8, 1,
         [](int n, Dice& d) {
             Recipe recipe = family(n, d);
             recipe.apart = 0.4;
             if (n % 2 == 0) recipe.look.ink = Ink::colours;
             return recipe;
         }},
        {"crossing, one colour", 8, 2, crossing},
        {"crossing, colours", 8, 2,
         [](int n, Dice& d) {
             Recipe recipe = coloured(crossing(n, d));
             recipe.seeds = n < 4 ? 1 : 2;
             return recipe;
         }},
        {"dashed", 8, 2,
         [](int n, Dice& d) {
             Recipe recipe = n % 2 == 0 ? single(n, d) : family(n, d);
             recipe.look.dashed = true;
             return recipe;
         }},
        {"labels on the plot", 12, 2, with_labels},
        {"legend beside", 6, 1, [](int n, Dice& d) { return with_legend(Legend::beside, n, d); }},
        {"legend over the plot", 12, 2,
         [](int n, Dice& d) {
             Recipe recipe =
                 with_legend(n % 2 == 0 ? Legend::over_curves : Legend::in_corner, n / 2, d);
             recipe.look.bare_legend = n % 4 == 1;
             return recipe;
         }},
        {"heavy grid", 10, 2,
         [](int n, Dice& d) {
             Recipe recipe = n % 2 == 0 ? single(n / 2, d) : family(n / 2, d);
             recipe.look.grid = Grid::heavy;
             return recipe;
         }},
        {"marked at inner labels", 8, 1,
         [](int n, Dice& d) {
             Recipe recipe =
                 n % 2 == 0 ? some_chart(turn(linear_kinds, n / 2), 1, n, d)
                            : some_chart(n % 4 == 1 ? Kind::collector : Kind::resistor, 3, n, d);
             recipe.marks_inside = true;
             return recipe;
         }},
        {"dense black grid", 10, 2,
         [](int n, Dice& d) {
             Recipe recipe = n % 2 == 0 ? single(n / 2, d) : family(n / 2, d);
             recipe.look.grid = Grid::dense;
             if (n % 4 == 3) recipe = scan(recipe, 0);
             return recipe;
         }},
        {"markers, tinted grid", 8, 1,
         [](int n, Dice& d) {
             Recipe recipe = n % 2 == 0 ? single(n / 2, d) : family(n / 2, d);
             recipe.look.tinted_grid = true;
             recipe.look.markers = n % 4 < 2;
             if (recipe.look.grid == Grid::none) recipe.look.grid = Grid::fine;
             return recipe;
         }},
    };
}

}  // namespace gapwright::drawn_charts
