// Charts of cards and fits.
#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "draw/axes.hpp"
#include "draw/curve_plot.hpp"
#include "draw/picture.hpp"
#include "fit/card_curves.hpp"
#include "fit/card_fit.hpp"
#include "fit/specimen_charts.hpp"
#include "report/card_report.hpp"
#include "report/html/html_report.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

struct Reach {
    double low = 0;
    double high = 0;
    bool any = false;

    void take(double value) {
        if (!std::isfinite(value)) return;
        low = any ? std::min(low, value) : value;
        high = any ? std::max(high, value) : value;
        any = true;
    }
};

AxisRange axis_of(const ChartAxis& axis, const Reach& extent) {
    AxisRange range{.low = extent.low,
                    .high = extent.high,
                    .dimension = axis.dimension,
                    .label = axis.words,
                    .logarithmic = axis.logarithmic,
                    .percent = axis.percent};
    if (axis.logarithmic) {
        range.low = extent.low / 1.15;
        range.high = extent.high * 1.15;
    } else {
        // From nothing where that does not squeeze the curves into a corner.
        const double room = 0.05 * (extent.high - extent.low);
        const bool from_zero = extent.low >= 0 && extent.low < 0.4 * extent.high &&
                               axis.dimension != Dimension::temperature;
        range.low = from_zero ? 0 : extent.low - room;
        range.high = extent.high + room;
    }
    return range;
}

std::vector<Point> points_of(const ChartCurve& curve) {
    std::vector<Point> points;
    for (std::size_t k = 0; k < curve.x.size(); ++k) points.push_back({curve.x[k], curve.y[k]});
    return points;
}

// "infrared-led: forward current against …"
std::string title_of(const std::string& cards, std::string title) {
    if (cards.empty() || title.empty()) return title;
    title.front() = static_cast<char>(std::tolower(static_cast<unsigned char>(title.front())));
    return fmt::format("{}: {}", cards, title);
}

void note(CurvePlot& plot, std::string_view words) {
    plot.note += fmt::format("{}{}", plot.note.empty() ? "" : " · ", words);
}

// One chart into a plot, with a second one's curves dashed: those of another card, or, where it has
// no name, those of the same card before it was changed.
CurvePlot plot_of(const CardChart& chart, const CardChart* other, const std::string& one_name,
                  const std::string& other_name) {
    CurvePlot plot;
    const bool two_cards = other != nullptr && !other_name.empty();
    plot.title = title_of(two_cards ? one_name + " and " + other_name : one_name, chart.title);
    plot.description = fmt::format("{} against {}.", chart.y.words, chart.x.words);
    Reach x;
    Reach y;
    const auto take = [&](const std::vector<ChartCurve>& curves) {
        for (const auto& curve : curves) {
            for (const double v : curve.x) x.take(v);
            for (const double v : curve.y) y.take(v);
        }
    };
    take(chart.curves);
    take(chart.weakest);
    take(chart.strongest);
    take(chart.measured);
    if (other) take(other->curves);
    plot.x = axis_of(chart.x, x);
    plot.y = axis_of(chart.y, y);
    if (!chart.weakest.empty() && !chart.strongest.empty() && !two_cards) {
        plot.bands.push_back(
            {points_of(chart.weakest.front()), points_of(chart.strongest.front())});
        plot.description += " Shaded: the card's spread.";
        note(plot, "shaded: the card's spread");
    }
    const auto label = [](const std::string& curve, const std::string& card) {
        if (card.empty()) return curve;
        return curve.empty() ? card : fmt::format("{}, {}", card, curve);
    };
    for (const auto& curve : chart.curves) {
        plot.curves.push_back(
            {label(curve.name, two_cards ? one_name : ""), "curve", points_of(curve)});
    }
    if (other) {
        for (const auto& curve : other->curves) {
            const std::string name = two_cards ? label(curve.name, other_name) : "";
            plot.curves.push_back({name, "curve weak", points_of(curve)});
        }
        if (!two_cards) {
            plot.description += " Dashed: before the change.";
            note(plot, "dashed: before the change");
        }
    }
    for (const auto& curve : chart.measured) {
        const auto dots = points_of(curve);
        plot.dots.insert(plot.dots.end(), dots.begin(), dots.end());
        plot.description += " Dots: measured.";
        note(plot, "dots: measured");
    }
    return plot;
}

bool same_curves(const CardChart& one, const CardChart& other) {
    return std::ranges::equal(one.curves, other.curves, [](const auto& a, const auto& b) {
        return a.name == b.name && a.x == b.x && a.y == b.y;
    });
}

std::vector<Point> points_of(const SpecimenCurve& curve) {
    std::vector<Point> points;
    for (std::size_t k = 0; k < curve.x.size(); ++k) points.push_back({curve.x[k], curve.y[k]});
    return points;
}

// Of many specimens only those that are beyond the limits have a name on the paper.
constexpr std::size_t most_named = 6;

CurvePlot plot_of(const SpecimenChart& chart, const std::string& card) {
    CurvePlot plot;
    plot.title = title_of(card, chart.title);
    Reach x;
    Reach y;
    const auto take = [&](const auto& curve) {
        for (const double v : curve.x) x.take(v);
        for (const double v : curve.y) y.take(v);
    };
    take(chart.lowest);
    take(chart.highest);
    for (const auto& specimen : chart.specimens) take(specimen);
    plot.x = axis_of(chart.x, x);
    plot.y = axis_of(chart.y, y);
    plot.bands.push_back({points_of(chart.lowest), points_of(chart.highest)});
    plot.curves.push_back({"", "curve weak", points_of(chart.nominal)});
    std::size_t within = 0;
    for (const auto& specimen : chart.specimens) {
        const bool is_named = !specimen.within || chart.specimens.size() <= most_named;
        plot.curves.push_back({is_named ? specimen.name : "",
                               specimen.within ? "curve thin" : "curve thin amber",
                               points_of(specimen)});
        const auto dots = points_of(specimen);
        auto& marks = specimen.within ? plot.dots : plot.rings;
        marks.insert(marks.end(), dots.begin(), dots.end());
        if (specimen.within) ++within;
    }
    note(plot, fmt::format("shaded: the card's limits · dashed: its nominal · {} "
                           "of {} specimens within",
                           within, chart.specimens.size()));
    plot.description = fmt::format(
        "{}: a curve for each specimen. {} of {} lie within the card's "
        "limits, which are shaded.",
        chart.title, within, chart.specimens.size());
    return plot;
}

NamedPicture named(const std::string& name, const CurvePlot& plot) {
    return {name, plot.title, draw_curves(plot)};
}

}  // namespace

std::vector<NamedPicture> chart_pictures(const NamedCard& card,
                                         const std::vector<CardChart>& charts) {
    std::vector<NamedPicture> pictures;
    for (const auto& chart : charts) {
        pictures.push_back(named(chart.name, plot_of(chart, nullptr, card.name, "")));
    }
    return pictures;
}

std::vector<NamedPicture> chart_pictures(const NamedCard& one, const std::vector<CardChart>& charts,
                                         const NamedCard& other,
                                         const std::vector<CardChart>& other_charts) {
    std::vector<NamedPicture> pictures;
    for (const auto& chart : charts) {
        const auto same = std::ranges::find(other_charts, chart.name, &CardChart::name);
        if (same == other_charts.end()) continue;
        pictures.push_back(named(chart.name, plot_of(chart, &*same, one.name, other.name)));
    }
    return pictures;
}

std::vector<NamedPicture> changed_chart_pictures(const NamedCard& card,
                                                 const std::vector<CardChart>& charts,
                                                 const std::vector<CardChart>& before) {
    std::vector<NamedPicture> pictures;
    for (const auto& chart : charts) {
        const auto same = std::ranges::find(before, chart.name, &CardChart::name);
        const bool moved = same != before.end() && !same_curves(chart, *same);
        pictures.push_back(
            named(chart.name, plot_of(chart, moved ? &*same : nullptr, card.name, "")));
    }
    return pictures;
}

std::vector<NamedPicture> specimen_pictures(const NamedCard& card,
                                            const std::vector<SpecimenChart>& charts) {
    std::vector<NamedPicture> pictures;
    for (const auto& chart : charts) {
        pictures.push_back(named(chart.name, plot_of(chart, card.name)));
    }
    return pictures;
}

std::vector<NamedPicture> fit_pictures(const NamedCard& card, const CardFit& fit,
                                       const std::vector<CardChart>& charts) {
    std::vector<NamedPicture> pictures = chart_pictures(card, charts);
    CurvePlot residuals;
    residuals.title =
        title_of(card.name, "How far each point lies off its curve, in the noise of the points");
    residuals.note = "shaded: within two standard deviations";
    residuals.description = "One dot for each point, in their order; ringed where it is far off.";
    Reach y;
    y.take(-3);
    y.take(3);
    for (std::size_t k = 0; k < fit.misfits.size(); ++k) {
        // (points further off than the paper lie on its edge)
        const double at = std::clamp(fit.misfits[k], -12.0, 12.0);
        y.take(at);
        const Point p{static_cast<double>(fit.observations[k].point + 1), at};
        const bool stray = std::ranges::find(fit.strays, k) != fit.strays.end();
        residuals.dots.push_back(p);
        if (stray) residuals.rings.push_back(p);
    }
    if (!residuals.rings.empty()) note(residuals, "ringed: far off, and hardly counted");
    const double last = static_cast<double>(fit.observations.back().point + 1);
    residuals.x = {.low = 0, .high = last + 1, .dimension = Dimension::ratio, .label = "point"};
    residuals.y = {.low = y.low - 0.5,
                   .high = y.high + 0.5,
                   .dimension = Dimension::ratio,
                   .label = "measured less fitted, in standard deviations"};
    residuals.bands.push_back({{{0, -2}, {last + 1, -2}}, {{0, 2}, {last + 1, 2}}});
    residuals.curves.push_back({"", "level", {{0, 0}, {last + 1, 0}}});
    pictures.push_back(named("residuals", residuals));
    return pictures;
}

}  // namespace gapwright
