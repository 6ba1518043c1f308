#include "fit/card_fit.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/points.hpp"
#include "fit/fit_doubts.hpp"
#include "fit/least_squares.hpp"
#include "fit/observation.hpp"
#include "fit/part_model.hpp"
#include "fit/specimen_fit.hpp"
#include "fit/specimen_spread.hpp"
#include "fit/test_point.hpp"
#include "source/diagnostics.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

using fitting::OneFit;
using fitting::TestPoint;
using fitting::Told;

// What one specimen's points tell, and which of all observations they are.
struct FittedSpecimen {
    std::string name;
    std::vector<std::size_t> points;
    OneFit fit;
};

double to_coordinate(const Told& told, double value) {
    return told.logarithmic ? std::log(value) : value;
}
double to_value(const Told& told, double coordinate) {
    return told.logarithmic ? std::exp(coordinate) : coordinate;
}

std::vector<std::string> specimen_names(const std::vector<Observation>& observations) {
    std::vector<std::string> names;
    for (const auto& o : observations) {
        if (std::ranges::find(names, o.specimen) == names.end()) names.push_back(o.specimen);
    }
    return names;
}

// How far specimens lie apart by what the base card says, as a standard deviation in the figure's
// coordinate; or what is usual.
double expected_apart(const Description& base, const Told& told) {
    const auto* figure = base.find(told.key);
    if (!figure || !figure->has_stated_spread()) return told.apart;
    const double width =
        to_coordinate(told, figure->spread.highest) - to_coordinate(told, figure->spread.lowest);
    const double deviation = width / (figure->normal ? 6.0 : std::sqrt(12.0));
    return std::isfinite(deviation) && deviation > 0 ? deviation : told.apart;
}

// The figure of one specimen; a spread only where the base card has one. That one stays where it
// is: a part that was measured is one of its kind, and says nothing of how weak another may be.
FittedFigure of_one(const Description& base, const TestPoint& at, const Told& told) {
    FittedFigure figure;
    figure.key = told.key;
    figure.value = told.value;
    figure.lowest = told.lowest;
    figure.highest = told.highest;
    figure.told = told.share;
    figure.kept = told.kept;
    const auto* stated = base.find(told.key);
    if (!stated || !stated->has_stated_spread()) return figure;
    const double factor = fitting::moved_to(base, told.key, at);
    figure.based_on = Spread{stated->spread.nominal * factor, stated->spread.lowest * factor,
                             stated->spread.highest * factor};
    figure.spread = Spread{told.value, std::min(figure.based_on->lowest, told.value),
                           std::max(figure.based_on->highest, told.value)};
    figure.spread_from = "of the card it is based on";
    return figure;
}

// The figure of a type, from those of several specimens.
FittedFigure of_several(const Description& base, const TestPoint& at,
                        const std::vector<FittedSpecimen>& fits, std::size_t k) {
    std::vector<MeasuredSpecimen> measured;
    const Told* sample = nullptr;
    for (const auto& one : fits) {
        const Told& told = one.fit.told[k];
        if (told.kept) continue;
        sample = &told;
        measured.push_back({to_coordinate(told, told.value), told.uncertainty});
    }
    if (!sample) return of_one(base, at, fits.front().fit.told[k]);
    // What a card states of its spread counts for more than what is usual of any.
    const auto* stated = base.find(sample->key);
    const double counts =
        stated && stated->has_stated_spread() ? 3 * expected_counts : expected_counts;
    const auto spread = spread_of_specimens(measured, expected_apart(base, *sample), counts);
    FittedFigure figure;
    figure.key = sample->key;
    figure.value = to_value(*sample, spread.centre);
    const double half = normal_reach * spread.centre_uncertainty;
    figure.lowest = to_value(*sample, spread.centre - half);
    figure.highest = to_value(*sample, spread.centre + half);
    // What a coupler's or phototransistor's receiver does differently is in the transfer's spread
    // already; both would be multiplied.
    if (sample->in_transfer) return figure;
    figure.spread =
        Spread{figure.value, to_value(*sample, spread.lowest), to_value(*sample, spread.highest)};
    figure.spread_from =
        fmt::format("of {} specimen{}{}", measured.size(), measured.size() == 1 ? "" : "s",
                    spread.joined ? " and what is usual" : "");
    return figure;
}

// What the card's table says of a key that a fit names.
void complete_figure(const Description& base, const TestPoint& at, FittedFigure& figure) {
    const auto* rule = find_key(kind_rule(base.kind), figure.key);
    figure.group = rule->group;
    figure.dimension = rule->dimension;
    if (figure.key == Key::forward || figure.key == Key::forward_slope)
        figure.conditions = {at.current};
    if (figure.key == Key::ctr) figure.conditions = {at.current, at.voltage};
    if (figure.key == Key::resistance) figure.conditions = {at.illuminance};
    if (figure.key != Key::sensitivity) return;
    // Fitted in A per W/m², stated at an irradiance.
    figure.conditions = {at.irradiance};
    for (double* value : {&figure.value, &figure.lowest, &figure.highest}) *value *= at.irradiance;
    for (auto* limits : {&figure.spread, &figure.based_on}) {
        if (!*limits) continue;
        for (double* value : {&(*limits)->nominal, &(*limits)->lowest, &(*limits)->highest}) {
            *value *= at.irradiance;
        }
    }
}

// Every specimen is asked the same: what all of them together show.
std::expected<std::vector<FittedSpecimen>, CardFitFailure> fit_specimens(
    const Description& base, const TestPoint& at, const std::vector<Observation>& observations,
    const CardFitOptions& options) {
    const auto names = specimen_names(observations);
    std::vector<FittedSpecimen> fits;
    for (const auto& name : names) {
        if (options.progress) options.progress(fits.size(), names.size());
        std::vector<Observation> own;
        std::vector<std::size_t> points;
        for (std::size_t k = 0; k < observations.size(); ++k) {
            if (observations[k].specimen != name) continue;
            own.push_back(observations[k]);
            points.push_back(k);
        }
        auto fit = fitting::fit_specimen(base, at, own, options);
        if (!fit) return std::unexpected(std::move(fit.error()));
        fits.push_back({name, std::move(points), std::move(*fit)});
    }
    for (const auto& one : fits) {
        if (one.fit.told.size() == fits.front().fit.told.size()) continue;
        Diagnostic uneven{.cause = Cause::contradiction, .place = {}, .message = {}, .remedy = {}};
        uneven.message = "not all specimens were measured in the same way";
        uneven.remedy = "measure the same quantities of each, or fit them one by one";
        return std::unexpected(CardFitFailure{.problems = only(std::move(uneven))});
    }
    return fits;
}

std::vector<FittedFigure> figures_of(const Description& base, const TestPoint& at,
                                     const std::vector<FittedSpecimen>& fits) {
    std::vector<FittedFigure> figures;
    for (std::size_t k = 0; k < fits.front().fit.told.size(); ++k) {
        figures.push_back(fits.size() == 1 ? of_one(base, at, fits.front().fit.told[k])
                                           : of_several(base, at, fits, k));
        complete_figure(base, at, figures.back());
    }
    return figures;
}

// Of several specimens.
std::vector<SpecimenFit> specimens_of(const TestPoint& at,
                                      const std::vector<FittedSpecimen>& fits) {
    std::vector<SpecimenFit> specimens;
    if (fits.size() == 1) return specimens;
    for (const auto& one : fits) {
        specimens.push_back({.name = one.name, .observations = one.points.size(), .values = {}});
        for (const auto& told : one.fit.told) {
            const double per = told.key == Key::sensitivity ? at.irradiance : 1.0;
            specimens.back().values.push_back(told.value * per);
        }
    }
    return specimens;
}

// What the specimens' fits say of all observations.
void add_points(const std::vector<FittedSpecimen>& fits, CardFit& result) {
    const std::size_t all = result.observations.size();
    result.predicted.resize(all);
    result.misfits.resize(all);
    for (const auto& one : fits) {
        for (std::size_t k = 0; k < one.points.size(); ++k) {
            result.predicted[one.points[k]] = one.fit.predicted[k];
            result.misfits[one.points[k]] = one.fit.misfits[k];
        }
        for (const std::size_t stray : one.fit.strays) result.strays.push_back(one.points[stray]);
    }
    double sum = 0;
    for (std::size_t k = 0; k < all; ++k) {
        const double off = result.observations[k].value / result.predicted[k] - 1;
        sum += off * off;
    }
    result.noise = std::sqrt(sum / static_cast<double>(all));
}

Description card_with(Description card, const std::vector<FittedFigure>& figures) {
    for (const auto& figure : figures) {
        if (figure.kept) continue;
        if (figure.key == Key::forward) card.figures.erase(Key::saturation_current);
        if (figure.key == Key::forward_slope) card.figures.erase(Key::bandgap);
        if (figure.key == Key::ctr) card.figures.erase(Key::photocurrent_ratio);
        Figure stated{.spread = figure.spread.value_or(exactly(figure.value)),
                      .conditions = figure.conditions,
                      .place = card.place};
        card.figures[figure.key] = stated;
    }
    return card;
}

// Limits that hold at other conditions than the fitted figure, moved to those by the fitted card.
std::optional<Spread> moved_limits(const Description& card, const FittedFigure& figure,
                                   const StatedLimits& limits) {
    const auto& at = limits.conditions;
    if (at.empty() || at == figure.conditions) return limits.spread;
    const auto value = value_at(card, figure.key, at);
    if (!value || !(*value > 0)) return std::nullopt;
    const double factor = figure.value / *value;
    return Spread{figure.value, limits.spread.lowest * factor, limits.spread.highest * factor};
}

// Limits that a data sheet states take the place of any other spread.
std::expected<std::vector<FittedFigure>, CardFitFailure> with_limits(
    const Description& card, std::vector<FittedFigure> figures,
    const std::map<Key, StatedLimits>& stated) {
    for (const auto& [key, given] : stated) {
        const auto found = std::ranges::find(figures, key, &FittedFigure::key);
        Diagnostic fault{.cause = Cause::unknown_key, .place = {}, .message = {}, .remedy = {}};
        if (found == figures.end()) {
            std::vector<std::string> names;
            for (const auto& figure : figures) names.emplace_back(key_name(figure.key));
            fault.message = fmt::format("limits of {}, which these points do not tell", key);
            fault.remedy = fmt::format("they tell {}", fmt::join(names, ", "));
            return std::unexpected(CardFitFailure{.problems = only(std::move(fault))});
        }
        const auto limits = moved_limits(card, *found, given);
        if (!limits) {
            fault.cause = Cause::contradiction;
            fault.message = fmt::format("the limits of {} hold where the fit has no answer", key);
            fault.remedy = "state them at conditions that the points reach";
            return std::unexpected(CardFitFailure{.problems = only(std::move(fault))});
        }
        if (found->value < limits->lowest || found->value > limits->highest) {
            fault.cause = Cause::contradiction;
            fault.message =
                fmt::format("the points give {} a value outside of the limits stated for it", key);
            fault.remedy = "check the units, and at which current or light the limits hold";
            return std::unexpected(CardFitFailure{.problems = only(std::move(fault))});
        }
        found->spread = Spread{found->value, limits->lowest, limits->highest};
        found->spread_from = "limits as stated";
    }
    return figures;
}

}  // namespace

std::expected<CardFit, CardFitFailure> fit_card(const Description& base,
                                                const std::vector<MeasuredPoint>& points,
                                                const CardFitOptions& options) {
    auto observations = observations_of(base.kind, points);
    if (!observations) return std::unexpected(CardFitFailure{observations.error()});
    const TestPoint at = fitting::test_point(base, *observations);
    const auto fits = fit_specimens(base, at, *observations, options);
    if (!fits) return std::unexpected(fits.error());
    CardFit result;
    result.observations = std::move(*observations);
    add_points(*fits, result);
    auto figures = figures_of(base, at, *fits);
    if (auto impossible = fitting::doubt_points(result, figures)) {
        return std::unexpected(CardFitFailure{.problems = {}, .message = std::move(*impossible)});
    }
    const Description fitted = card_with(base, figures);
    auto limited = with_limits(fitted, std::move(figures), options.limits);
    if (!limited) return std::unexpected(std::move(limited.error()));
    result.figures = std::move(*limited);
    result.specimens = specimens_of(at, *fits);
    result.card = card_with(base, result.figures);
    if (auto impossible = fitting::doubt_card(result)) {
        return std::unexpected(CardFitFailure{.problems = {}, .message = std::move(*impossible)});
    }
    return result;
}

}  // namespace gapwright
