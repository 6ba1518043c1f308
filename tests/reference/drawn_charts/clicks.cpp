#include "reference/drawn_charts/clicks.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>

#include "reference/drawn_charts/seeds.hpp"

namespace gapwright::drawn_charts {
namespace {

std::string printed(const Axis& axis, double value) {
    std::array<char, 48> text{};
    std::snprintf(text.data(), text.size(), "%g %s", std::abs(value) < 1e-9 ? 0 : value,
                  axis.unit.c_str());
    return text.data();
}

std::string marks(const Chart& chart, const Page& page, Hand& hand) {
    const Axis& x = chart.subject.x;
    const Axis& y = chart.subject.y;
    std::string text;
    if (chart.recipe.marks > 2) {
        const auto labels = x.labels();
        std::vector<double> across{x.from, x.to};
        if (chart.recipe.marks > 4) across.push_back(labels[labels.size() / 2]);
        for (const double at : across) {
            for (const double level : {y.from, y.to}) {
                text += " --mark \"" + printed(x, at) + ", " + printed(y, level) + " at " +
                        hand.click(page.place(x.share(at), y.share(level))) + "\"";
            }
        }
        return text;
    }
    const auto ends = [&](const Axis& axis) {
        const auto labels = axis.labels();
        const std::size_t in = chart.recipe.marks_inside ? 1 : 0;
        return std::array{labels[in], labels[labels.size() - 1 - (labels.size() > 3 ? in : 0)]};
    };
    for (const double at : ends(x)) {
        text += " --x-mark \"" + printed(x, at) + " at " + hand.click(page.place(x.share(at), 0)) +
                "\"";
    }
    for (const double at : ends(y)) {
        text += " --y-mark \"" + printed(y, at) + " at " + hand.click(page.place(0, y.share(at))) +
                "\"";
    }
    return text;
}

}  // namespace

Chart make_chart(const Style& style, int number, const std::filesystem::path& folder) {
    // Another seed draws other charts of the same styles.
    const char* seed = std::getenv("GAPWRIGHT_CHART_SEED");
    Dice dice(style.name, number + (seed == nullptr ? 0 : 1000 * std::atoi(seed)));
    Chart chart;
    chart.name = style.name + " " + std::to_string(number);
    chart.recipe = style.recipe(number, dice);
    const Recipe& recipe = chart.recipe;
    chart.subject = make_subject(recipe.kind, recipe.curves, recipe.apart, dice);
    const Page page = paint(chart.subject, recipe.look);
    Taken taken{page.picture, {}, 45 + dice.below(45), false};
    if (recipe.medium == Medium::photo) {
        taken = photographed(page.picture, recipe.tilt, recipe.width, recipe.rough, dice);
    } else if (recipe.medium == Medium::scan || recipe.medium == Medium::fax) {
        taken = scanned(page.picture, recipe.medium == Medium::fax, dice);
    }
    chart.file = chart.name;
    std::erase_if(chart.file, [](char c) { return c == ',' || c == '\''; });
    std::replace(chart.file.begin(), chart.file.end(), ' ', '-');
    const bool lossless = recipe.medium == Medium::png || recipe.medium == Medium::fax;
    chart.file += lossless ? ".png" : ".jpg";
    if (lossless) {
        write_png(taken.picture, folder / chart.file);
    } else {
        write_jpeg(taken.picture, taken.quality, taken.grey, folder / chart.file);
    }
    Hand hand(taken.projection, dice);
    const Subject& subject = chart.subject;
    chart.arguments = "card trace " + chart.file + " --x " + subject.x.quantity +
                      (subject.x.logarithmic ? " --x-log" : "") + " --y " + subject.y.quantity +
                      (subject.y.logarithmic ? " --y-log" : "") + marks(chart, page, hand);
    put_seeds(chart, page, hand, dice);
    if (!subject.at.empty()) chart.arguments += " --at \"" + subject.at + "\"";
    return chart;
}

std::string command(const Chart& chart, const std::vector<bool>& further) {
    std::string text = chart.arguments;
    for (std::size_t j = 0; j < chart.seeds.size(); ++j) {
        const std::string& at = chart.subject.curves[j].measured_at;
        text += " --curve \"" + (further[j] ? chart.further[j] : chart.seeds[j]);
        text += (at.empty() ? "" : "; " + at) + "\"";
    }
    return text;
}

}  // namespace gapwright::drawn_charts
