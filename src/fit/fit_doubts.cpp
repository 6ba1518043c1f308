#include "fit/fit_doubts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "fit/card_check.hpp"
#include "fit/card_fit.hpp"
#include "fit/observation.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright::fitting {
namespace {

// A figure's value for people.
std::string plain(const FittedFigure& figure, double value) {
    if (figure.key == Key::ctr) return percent(value);
    return figure.dimension == Dimension::ratio ? fmt::format("{:.3g}", value)
                                                : engineering_short(value, figure.dimension, 3);
}

// A part that lies outside of what its base card allows is perhaps no such part.
std::optional<std::string> outside_doubt(const FittedFigure& figure) {
    if (!figure.based_on || figure.kept) return std::nullopt;
    const double value = figure.value;
    const bool above = value > figure.based_on->highest;
    if (!above && value >= figure.based_on->lowest) return std::nullopt;
    const auto text = [&](double one) { return plain(figure, one); };
    return fmt::format(
        "{} of {} lies {} the limits of the card it is based on, {}: it is widened "
        "to hold it; check whether this is such a part, and the units",
        figure.key, text(value), above ? "above" : "below",
        text(above ? figure.based_on->highest : figure.based_on->lowest));
}

// A curve that is 100 % at a current that charts are normalised at (1, 2, 3, 5, 10 mA …, common
// practice) may be a normalised one, which says nothing of how much; the current may lie between
// two points.
std::optional<std::string> normalised_doubt(const std::vector<Observation>& observations) {
    std::vector<const Observation*> ratios;
    for (const auto& o : observations) {
        if (o.as_ctr) ratios.push_back(&o);
    }
    if (ratios.size() < 3) return std::nullopt;
    std::ranges::stable_sort(ratios, {}, &Observation::forward_current);
    const auto above = [](const Observation* o) { return std::log(o->value / o->forward_current); };
    const auto log_current = [](const Observation* o) { return std::log(o->forward_current); };
    for (std::size_t k = 0; k + 1 < ratios.size(); ++k) {
        const auto* a = ratios[k];
        const auto* b = ratios[k + 1];
        for (int decade = -5; decade < 0; ++decade) {
            for (const double digit : {1.0, 2.0, 3.0, 5.0}) {
                const double current = digit * std::pow(10.0, decade);
                constexpr double same = 1.005;
                if (current * same < a->forward_current || current > b->forward_current * same)
                    continue;
                const double apart = log_current(b) - log_current(a);
                const double share =
                    apart > 0 ? std::clamp((std::log(current) - log_current(a)) / apart, 0.0, 1.0)
                              : 0.0;
                constexpr double near = 0.02;
                if (std::abs(above(a) + share * (above(b) - above(a))) > near) continue;
                return fmt::format(
                    "the transfer ratio is 100 % at {}: if the chart is normalised, it says "
                    "nothing of how much there is; then name its column relative_ctr and give "
                    "reference_current",
                    engineering_short(current, Dimension::current, 2));
            }
        }
    }
    return std::nullopt;
}

// Normalised curves have a shape and no size.
std::optional<std::string> shape_only(const std::vector<Observation>& observations) {
    bool relative = false;
    for (const auto& o : observations) {
        if (o.measured == Measured::collector_current) return std::nullopt;
        relative = relative || o.measured == Measured::relative_ctr;
    }
    if (!relative) return std::nullopt;
    return "normalised points tell how the transfer ratio runs, not how much it is: that stays as "
           "it was";
}

constexpr std::string_view likely_causes =
    "look for a wrong unit (mA as A, kΩ as Ω, % left out), columns exchanged, a logarithmic axis "
    "read as linear, another kind of part";

// How the points lie about the curve.
struct PointsFound {
    std::string words;  // empty: well enough
    bool refused = false;
};

// Points that no such part could give are refused; those that lie oddly far off are asked about.
PointsFound points_found(const CardFit& fit) {
    constexpr double cannot_be = 0.3;  // root mean square of all but named strays; own choice
    constexpr double odd = 0.08;
    const std::size_t all = fit.observations.size();
    std::size_t worst = 0;
    // A forward voltage moves little, so that little of it says much.
    const auto away = [&](std::size_t k) {
        const bool volts = fit.observations[k].measured == Measured::forward_voltage;
        return (volts ? 3 : 1) * std::abs(std::log(fit.observations[k].value / fit.predicted[k]));
    };
    double sum = 0;
    std::size_t counted = 0;
    for (std::size_t k = 0; k < all; ++k) {
        if (away(k) > away(worst)) worst = k;
        if (std::ranges::find(fit.strays, k) != fit.strays.end()) continue;
        sum += away(k) * away(k);
        ++counted;
    }
    const double off = counted > 0 ? std::sqrt(sum / static_cast<double>(counted)) : 0.0;
    const auto& o = fit.observations[worst];
    const Dimension dimension = measured_dimension(o.measured);
    const std::string where =
        fmt::format("the worst is point {}, {} {} where the curve has {}", o.point + 1,
                    measured_words(o.measured), engineering_short(o.value, dimension, 3),
                    engineering_short(fit.predicted[worst], dimension, 3));
    if (off > cannot_be) {
        return {fmt::format("the points lie off every curve of such a part; {}; {}", where,
                            likely_causes),
                true};
    }
    const bool many_strays = all >= 6 && fit.strays.size() * 5 > all;
    if (!(off > odd) && !many_strays) return {};
    return {fmt::format("the points do not lie well on one curve; {}; {}", where, likely_causes),
            false};
}

// Whether a figure cannot be, as far as the points tell it: at neither end of its interval.
bool cannot_be(const CardFit& fit, const FittedFigure& figure) {
    return std::ranges::all_of(std::array{figure.lowest, figure.highest}, [&](double end) {
        Description card = fit.card;
        card.figures.at(figure.key).spread = exactly(end);
        return std::ranges::any_of(check_figures(card), [&](const CardFinding& finding) {
            return finding.nonsense && finding.figure == figure.key;
        });
    });
}

// What links will ask of the card and points do not tell.
void add_gaps(const Description& card, std::vector<std::string>& doubts) {
    const auto& keys = kind_rule(card.kind).keys;
    const bool limited = std::ranges::any_of(
        keys, [&](const KeyRule& key) { return key.group == "limits" && card.find(key.key); });
    if (!limited) {
        doubts.emplace_back(
            "the card states no limits, so nothing of the part will be rated: add [limits], or "
            "begin with a card that has them");
    }
    if (card.kind == Kind::led && !card.find(Key::radiant_intensity) &&
        !card.find(Key::luminous_intensity)) {
        doubts.emplace_back(
            "the card states no light, so that the part can be the emitter of no pair: add "
            "radiant_intensity or luminous_intensity under [model], or begin with a card that has "
            "one");
    }
}

}  // namespace

std::optional<std::string> doubt_points(CardFit& fit, const std::vector<FittedFigure>& figures) {
    const auto doubt = [&](std::optional<std::string> text) {
        if (text) fit.doubts.push_back(std::move(*text));
    };
    for (const auto& figure : figures) doubt(outside_doubt(figure));
    doubt(normalised_doubt(fit.observations));
    doubt(shape_only(fit.observations));
    PointsFound lie = points_found(fit);
    if (lie.refused) return std::move(lie.words);
    if (!lie.words.empty()) doubt(std::move(lie.words));
    return std::nullopt;
}

std::optional<std::string> doubt_card(CardFit& fit) {
    for (const auto& finding : check_figures(fit.card)) {
        const auto figure = std::ranges::find_if(
            fit.figures, [&](const FittedFigure& f) { return !f.kept && finding.figure == f.key; });
        if (figure == fit.figures.end()) continue;
        if (finding.nonsense && cannot_be(fit, *figure)) {
            return fmt::format("no such part: {}; {}", finding.text, likely_causes);
        }
        fit.doubts.push_back(fmt::format("{}; {}", finding.text, likely_causes));
    }
    add_gaps(fit.card, fit.doubts);
    return std::nullopt;
}

}  // namespace gapwright::fitting
