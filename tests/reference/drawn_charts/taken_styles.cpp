#include "reference/drawn_charts/recipe_makers.hpp"

namespace gapwright::drawn_charts {

std::vector<Style> taken_styles() {
    return {
        {"JPEG from a page", 6, 1,
         [](int n, Dice& d) {
             Recipe recipe = n % 2 == 0 ? single(n, d) : coloured(family(n, d));
             recipe.medium = Medium::jpeg;
             return recipe;
         }},
        {"scan", 10, 2, [](int n, Dice& d) { return scan(single(n, d), n); }},
        {"scan of a family", 8, 1, [](int n, Dice& d) { return scan(family(n, d), n); }},
        {"photo", 12, 1, [](int n, Dice& d) { return photo(single(n, d), n, d); }},
        {"photo of a family", 10, 1,
         [](int n, Dice& d) {
             return photo(n % 2 == 0 ? family(n, d) : coloured(family(n, d)), n, d);
         }},
        {"photo, two marks an axis", 20, 3,
         [](int n, Dice& d) {
             Recipe recipe = photo(single(n, d), n, d);
             recipe.marks = 2;
             recipe.rough = n % 4 == 2;
             recipe.tilt = n < 12 ? d.between(10, 20) : d.between(4, 10);
             recipe.caution_due = n < 12;
             return recipe;
         }},
        {"two marks, frame alone", 36, 1,
         [](int n, Dice& d) {
             Recipe recipe = photo(single(n, d), n, d);
             recipe.look.grid = Grid::none;
             recipe.marks = 2;
             recipe.tilt = d.between(10, 20);
             recipe.caution_due = true;
             return recipe;
         }},
        {"rough photo", 10, 1, [](int n, Dice& d) { return rough(photo(single(n, d), n, d)); }},
        {"rough photo, family", 8, 1,
         [](int n, Dice& d) {
             Recipe recipe = rough(photo(family(n, d), n, d));
             if (n % 2 == 1) recipe.look.grid = Grid::dense;
             if (n % 4 >= 2) recipe.look.ink = Ink::colours;
             return recipe;
         }},
        {"crossing, colours, photo", 6, 1,
         [](int n, Dice& d) {
             Recipe recipe = photo(coloured(crossing(n, d)), n, d);
             recipe.seeds = 2;
             return recipe;
         }},
        {"small and poor", 10, 1,
         [](int n, Dice& d) {
             Recipe recipe = n % 2 == 0 ? single(n / 2, d) : family(n / 2, d);
             recipe.look.zoom = n % 3 == 0 ? 0.75 : 1;
             recipe.look.stroke = d.between(1, 1.5);
             recipe.medium = Medium::jpeg;
             return recipe;
         }},
        {"dashed, scanned", 6, 1,
         [](int n, Dice& d) {
             Recipe recipe = scan(n % 2 == 0 ? single(n, d) : family(n, d), n);
             recipe.look.dashed = true;
             return recipe;
         }},
        {"seeds on grid, text, frame", 8, 2,
         [](int n, Dice& d) {
             Recipe recipe = n % 2 == 0 ? with_labels(n / 2, d) : scan(with_labels(n / 2, d), n);
             recipe.look.labels = n % 4 < 2 ? Labels::near_curve : Labels::with_leader;
             recipe.look.grid = n % 3 == 0 ? Grid::heavy : Grid::fine;
             recipe.trap = Trap::on_others;
             return recipe;
         }},
        {"seeds on a legend's samples", 16, 2,
         [](int n, Dice& d) {
             Recipe recipe = with_legend(n % 3 == 2   ? Legend::beside
                                         : n % 3 == 1 ? Legend::over_curves
                                                      : Legend::in_corner,
                                         n, d);
             if (n % 4 == 3) recipe.look.dashed = true;
             recipe.look.bare_legend = n % 5 == 0;
             if (n >= 8 && n < 12) recipe = scan(recipe, n);
             if (n >= 12) recipe = photo(recipe, n, d);
             recipe.trap = Trap::on_samples;
             return recipe;
         }},
        {"samples, a bare legend", 15, 1,
         [](int n, Dice& d) {
             Recipe recipe = with_legend(Legend::over_curves, n, d);
             recipe.look.bare_legend = true;
             if (n % 3 == 1) recipe = scan(recipe, n);
             if (n % 3 == 2) recipe = photo(recipe, n, d);
             recipe.trap = Trap::on_samples;
             return recipe;
         }},
        {"seeds on labels", 15, 1,
         [](int n, Dice& d) {
             Recipe recipe = with_labels(n, d);
             if (n % 3 == 1) recipe = scan(recipe, n);
             if (n % 3 == 2) recipe = photo(recipe, n, d);
             recipe.look.labels = n % 2 == 0 ? Labels::near_curve : Labels::with_leader;
             recipe.trap = Trap::on_texts;
             return recipe;
         }},
        {"one seed of a family lost", 8, 1,
         [](int n, Dice& d) {
             Recipe recipe = n % 2 == 0 ? family(n, d) : coloured(family(n, d));
             recipe.trap = Trap::one_lost;
             return recipe;
         }},
    };
}

}  // namespace gapwright::drawn_charts
