#include "reference/drawn_charts/seeds.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace gapwright::drawn_charts {
namespace {

double apart(Place a, Place b) {
    return std::hypot(a[0] - b[0], a[1] - b[1]);
}

// How free a place of a curve stands, px of the page: of other curves, of what is written, of lines
// of the grid; less than nothing where no ink is, as between dashes.
double freedom(const Chart& chart, const Page& page, std::size_t curve, Place at) {
    const double z = chart.recipe.look.zoom;
    float darkest = 255;
    for (int dy = -1; dy <= 1; ++dy) {
        for (int dx = -1; dx <= 1; ++dx) {
            const float* pixel = page.picture.at(static_cast<int>(std::lround(at[0])) + dx,
                                                 static_cast<int>(std::lround(at[1])) + dy);
            darkest = std::min({darkest, pixel[0], pixel[1], pixel[2]});
        }
    }
    if (darkest > 140) return -1;
    for (const Box& box : page.written) {
        if (box.holds(at, 8 * z)) return -1;
    }
    double free = 14 * z;
    const Subject& subject = chart.subject;
    for (std::size_t j = 0; j < subject.curves.size(); ++j) {
        if (j == curve) continue;
        for (int i = 0; i <= 400; ++i) {
            const double u = i / 400.0;
            const double x = subject.x.value(u);
            if (x < subject.curves[j].from || x > subject.curves[j].to) continue;
            free =
                std::min(free, apart(at, page.place(u, subject.y.share(subject.curves[j].y(x)))));
        }
    }
    free = std::min({free, 3 * z + std::abs(at[0] - page.plot.left),
                     3 * z + std::abs(at[1] - page.plot.bottom)});
    if (chart.recipe.look.grid == Grid::none) return free;
    for (const double x : subject.x.labels()) {
        free = std::min(free, 3 * z + std::abs(at[0] - page.place(subject.x.share(x), 0)[0]));
    }
    for (const double y : subject.y.labels()) {
        free = std::min(free, 3 * z + std::abs(at[1] - page.place(0, subject.y.share(y))[1]));
    }
    return free;
}

struct Clear {
    Place at{};
    double free = -2;  // px of the page
};

// Of twelve places between two shares of the curve's length the one that stands freest.
Clear clear_place(const Chart& chart, const Page& page, std::size_t j, double low, double high,
                  Dice& dice) {
    const Subject& subject = chart.subject;
    const Curve& curve = subject.curves[j];
    const double from = subject.x.share(curve.from);
    const double to = subject.x.share(curve.to);
    std::vector<Place> places;
    std::vector<double> along;
    for (int i = 0; i <= 1000; ++i) {
        const double u = from + (to - from) * i / 1000;
        const Place at = page.place(u, subject.y.share(curve.y(subject.x.value(u))));
        along.push_back(i == 0 ? 0 : along.back() + apart(places.back(), at));
        places.push_back(at);
    }
    Clear best;
    for (int i = 0; i < 12; ++i) {
        const double length = along.back() * dice.between(low, high);
        const auto found = std::lower_bound(along.begin(), along.end(), length);
        const Place at = places[static_cast<std::size_t>(found - along.begin())];
        const double free = freedom(chart, page, j, at);
        if (free > best.free) best = {at, free};
    }
    return best;
}

bool is_blank(const Chart& chart, const Page& page, Place at) {
    bool blank = true;
    for (const Curve& curve : chart.subject.curves) {
        for (int k = 0; k <= 400 && blank; ++k) {
            const double x = chart.subject.x.value(k / 400.0);
            if (x < curve.from || x > curve.to) continue;
            blank = apart(at, page.place(k / 400.0, chart.subject.y.share(curve.y(x)))) >
                    24 * chart.recipe.look.zoom;
        }
    }
    for (const Box& box : page.written) blank = blank && !box.holds(at, 20);
    return blank;
}

std::string clicked(const std::vector<Place>& places, Hand& hand) {
    std::string text;
    for (const Place& at : places) text += (text.empty() ? "" : " ") + hand.click(at);
    return text;
}

// Where nothing is drawn but grid, 24 px and more from every curve and text.
Place blank_place(const Chart& chart, const Page& page, Dice& dice) {
    for (int i = 0; i < 4000; ++i) {
        const Place at = page.place(dice.between(0.05, 0.95), dice.between(0.05, 0.95));
        if (is_blank(chart, page, at)) return at;
    }
    return page.place(0.5, 0.98);
}

// On a line of the grid, on a text, on the frame: what a slip of the hand finds.
Place other_place(const Chart& chart, const Page& page, std::size_t j, Dice& dice) {
    if (j % 3 == 1 && !page.written.empty()) {
        const Box& box = page.written[page.written.size() - 1];
        return {0.5 * (box.left + box.right), 0.5 * (box.top + box.bottom)};
    }
    const auto across = chart.subject.x.labels();
    const auto up = chart.subject.y.labels();
    for (int i = 0; i < 4000; ++i) {
        const int end = static_cast<int>(across.size());
        const int top = static_cast<int>(up.size());
        const double u = chart.subject.x.share(across[std::size_t(1 + dice.below(end - 2))]);
        const double v = chart.subject.y.share(up[std::size_t(1 + dice.below(top - 2))]);
        const double free = dice.between(0.05, 0.95);
        const Place at = j % 3 == 2
                             ? page.place(free, 1)
                             : (dice.below(2) == 0 ? page.place(u, free) : page.place(free, v));
        if (is_blank(chart, page, at)) return at;
    }
    return page.place(0.5, 0.98);
}

}  // namespace

void put_seeds(Chart& chart, const Page& page, Hand& hand, Dice& dice) {
    const std::size_t curves = chart.subject.curves.size();
    const Trap trap = chart.recipe.trap;
    if (trap == Trap::one_lost) chart.lost = dice.below(static_cast<int>(curves));
    for (std::size_t j = 0; j < curves; ++j) {
        std::vector<Place> places;
        if (trap == Trap::on_samples) {
            places = {page.samples[j]};
        } else if (trap == Trap::on_texts) {
            const Box& box = page.written[(j + 1) * page.written.size() / curves - 1];
            places = {{0.5 * (box.left + box.right), 0.5 * (box.top + box.bottom)}};
        } else if (trap == Trap::on_others) {
            places = {other_place(chart, page, j, dice)};
        } else if (chart.lost == static_cast<int>(j)) {
            places = {blank_place(chart, page, dice)};
        }
        const bool on_curve = places.empty();
        const int count = on_curve ? chart.recipe.seeds : 0;
        for (int i = 0; i < count; ++i) {
            const double low = count == 1 ? 0.2 : 0.05 + 0.9 * i / count;
            const double high = count == 1 ? 0.85 : 0.05 + 0.9 * (i + 0.85) / count;
            places.push_back(clear_place(chart, page, j, low, high, dice).at);
        }
        chart.seeds.push_back(clicked(places, hand));
        // Asked for further ones, a person takes places that stand free, and goes along the curve.
        for (int i = 0; i < 6 && on_curve; ++i) {
            const double low = 0.02 + 0.16 * i;
            const Clear more = clear_place(chart, page, j, low, low + 0.15, dice);
            if (more.free > 6 * chart.recipe.look.zoom) places.push_back(more.at);
        }
        std::sort(places.begin(), places.end());
        chart.further.push_back(clicked(places, hand));
    }
}

}  // namespace gapwright::drawn_charts
