#include "fit/card_fit.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/points.hpp"
#include "fit/least_squares.hpp"
#include "fit/observation.hpp"
#include "fit/specimen_fit.hpp"
#include "fit/specimen_spread.hpp"
#include "fit/test_point.hpp"
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

using fitting::OneFit;
using fitting::TestPoint;
using fitting::Told;

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
    figure.spread = Spread{told.value, std::min(stated->spread.lowest * factor, told.value),
                           std::max(stated->spread.highest * factor, told.value)};
    figure.spread_from = "of the card it is based on";
    return figure;
}

// A figure's value for people.
std::string plain(const FittedFigure& figure, double value) {
    if (figure.key == Key::ctr) return percent(value);
    return figure.dimension == Dimension::ratio ? fmt::format("{:.3g}", value)
                                                : engineering_short(value, figure.dimension, 3);
}

// A part that lies outside of what its base card allows is perhaps no such part.
std::optional<std::string> outside_doubt(const FittedFigure& figure) {
    if (!figure.spread || figure.kept || figure.spread_from != "of the card it is based on") {
        return std::nullopt;
    }
    const Spread& s = *figure.spread;
    if (s.lowest < s.nominal && s.nominal < s.highest) return std::nullopt;
    const bool above = s.nominal >= s.highest;
    const auto text = [&](double value) { return plain(figure, value); };
    return fmt::format(
        "{} of {} lies {} the limits of the card it is based on, {}: it is widened "
        "to hold it; check whether this is such a part, and the units",
        figure.key, text(s.nominal), above ? "above" : "below", text(above ? s.lowest : s.highest));
}

// The figure of a type, from those of several specimens.
FittedFigure of_several(const Description& base, const TestPoint& at,
                        const std::vector<OneFit>& fits, std::size_t k) {
    std::vector<MeasuredSpecimen> measured;
    const Told* sample = nullptr;
    for (const auto& fit : fits) {
        const Told& told = fit.told[k];
        if (told.kept) continue;
        sample = &told;
        measured.push_back({to_coordinate(told, told.value), told.uncertainty});
    }
    if (!sample) return of_one(base, at, fits.front().told[k]);
    // What a card states of its spread counts for more than what is usual of any.
    const auto* stated = base.find(sample->key);
    const double counts =
        stated && stated->has_stated_spread() ? 3 * expected_counts : expected_counts;
    const auto spread = spread_of_specimens(measured, expected_apart(base, *sample), counts);
    double weight = 0;
    FittedFigure figure;
    figure.key = sample->key;
    figure.value = to_value(*sample, spread.centre);
    for (const auto& m : measured) {
        weight += 1 / (m.uncertainty * m.uncertainty + spread.deviation * spread.deviation);
    }
    const double half = normal_reach / std::sqrt(weight);
    figure.lowest = to_value(*sample, spread.centre - half);
    figure.highest = to_value(*sample, spread.centre + half);
    figure.spread =
        Spread{figure.value, to_value(*sample, spread.lowest), to_value(*sample, spread.highest)};
    figure.spread_from =
        fmt::format("of {} specimen{}", measured.size(), measured.size() == 1 ? "" : "s");
    return figure;
}

// What the card's table says of a key that a fit names.
void complete_figure(const Description& base, const TestPoint& at, FittedFigure& figure) {
    const auto* rule = find_key(kind_rule(base.kind), figure.key);
    figure.group = rule->group;
    figure.dimension = rule->dimension;
    if (figure.key == Key::forward) figure.conditions = {at.current};
    if (figure.key == Key::ctr) figure.conditions = {at.current, at.voltage};
    if (figure.key == Key::resistance) figure.conditions = {at.illuminance};
    if (figure.key != Key::sensitivity) return;
    // Fitted in A per W/m², stated at an irradiance.
    figure.conditions = {at.irradiance};
    for (double* value : {&figure.value, &figure.lowest, &figure.highest}) *value *= at.irradiance;
    if (!figure.spread) return;
    for (double* value :
         {&figure.spread->nominal, &figure.spread->lowest, &figure.spread->highest}) {
        *value *= at.irradiance;
    }
}

// A chart that is 100 % at some current may be a normalised one, which says nothing of how much.
std::optional<std::string> normalised_doubt(const std::vector<Observation>& observations) {
    std::size_t ratios = 0;
    const Observation* whole = nullptr;
    for (const auto& o : observations) {
        if (!o.as_ctr) continue;
        ++ratios;
        constexpr double near = 0.01;
        if (std::abs(o.value / o.forward_current - 1) < near) whole = &o;
    }
    if (!whole || ratios < 3) return std::nullopt;
    return fmt::format(
        "the transfer ratio is 100 % at {}: if the chart is normalised, it says nothing of how "
        "much "
        "there is; then name its column relative_ctr and give reference_current",
        engineering_short(whole->forward_current, Dimension::current, 3));
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

class CardFitter {
  public:
    CardFitter(const Description& base, const CardFitOptions& options)
        : base_(base), options_(options) {}

    std::expected<CardFit, CardFitFailure> run(const std::vector<MeasuredPoint>& points) {
        auto observations = observations_of(base_.kind, points);
        if (!observations) return std::unexpected(CardFitFailure{observations.error()});
        result_.observations = std::move(*observations);
        at_ = fitting::test_point(base_, result_.observations);
        const auto names = specimen_names(result_.observations);
        // Every specimen is asked the same: what all of them together show.
        for (const auto& name : names) {
            if (options_.progress) options_.progress(fits_.size(), names.size());
            if (auto failure = fit_one(name)) return std::unexpected(std::move(*failure));
        }
        if (auto failure = gather(names)) return std::unexpected(std::move(*failure));
        for (auto* doubt : {&normalised_doubt, &shape_only}) {
            if (auto text = (*doubt)(result_.observations)) {
                result_.doubts.push_back(std::move(*text));
            }
        }
        if (auto failure = misfit_failure()) return std::unexpected(std::move(*failure));
        if (auto failure = apply_limits()) return std::unexpected(std::move(*failure));
        write_card();
        add_gaps();
        return std::move(result_);
    }

  private:
    std::optional<CardFitFailure> fit_one(const std::string& name) {
        std::vector<Observation> own;
        std::vector<std::size_t> where;
        for (std::size_t k = 0; k < result_.observations.size(); ++k) {
            if (result_.observations[k].specimen != name) continue;
            own.push_back(result_.observations[k]);
            where.push_back(k);
        }
        auto fit = fitting::fit_specimen(base_, at_, own, options_);
        if (!fit) return std::move(fit.error());
        result_.predicted.resize(result_.observations.size());
        result_.misfits.resize(result_.observations.size());
        for (std::size_t k = 0; k < own.size(); ++k) {
            result_.predicted[where[k]] = fit->predicted[k];
            result_.misfits[where[k]] = fit->misfits[k];
        }
        for (const std::size_t stray : fit->strays) result_.strays.push_back(where[stray]);
        fits_.push_back(std::move(*fit));
        counts_.push_back(own.size());
        return std::nullopt;
    }

    std::optional<CardFitFailure> gather(const std::vector<std::string>& names) {
        for (const auto& fit : fits_) {
            if (fit.told.size() == fits_.front().told.size()) continue;
            Diagnostic uneven{
                .cause = Cause::contradiction, .place = {}, .message = {}, .remedy = {}};
            uneven.message = "not all specimens were measured in the same way";
            uneven.remedy = "measure the same quantities of each, or fit them one by one";
            return CardFitFailure{.problems = only(std::move(uneven))};
        }
        for (std::size_t k = 0; k < fits_.front().told.size(); ++k) {
            result_.figures.push_back(fits_.size() == 1 ? of_one(base_, at_, fits_.front().told[k])
                                                        : of_several(base_, at_, fits_, k));
            complete_figure(base_, at_, result_.figures.back());
            if (auto doubt = outside_doubt(result_.figures.back())) {
                result_.doubts.push_back(std::move(*doubt));
            }
        }
        double sum = 0;
        for (std::size_t k = 0; k < result_.observations.size(); ++k) {
            const double off = result_.observations[k].value / result_.predicted[k] - 1;
            sum += off * off;
        }
        result_.noise = std::sqrt(sum / static_cast<double>(result_.observations.size()));
        if (fits_.size() == 1) return std::nullopt;
        for (std::size_t s = 0; s < fits_.size(); ++s) {
            SpecimenFit specimen{.name = names[s], .observations = counts_[s], .values = {}};
            for (const auto& told : fits_[s].told) {
                const double per = told.key == Key::sensitivity ? at_.irradiance : 1.0;
                specimen.values.push_back(told.value * per);
            }
            result_.specimens.push_back(std::move(specimen));
        }
        return std::nullopt;
    }

    // Points that no such part could give are refused; those that lie oddly far off are asked
    // about.
    std::optional<CardFitFailure> misfit_failure() {
        constexpr double cannot_be = 0.3;  // root mean square of all but named strays; own choice
        constexpr double odd = 0.08;
        const std::size_t all = result_.observations.size();
        std::size_t worst = 0;
        const auto away = [&](std::size_t k) {
            return std::abs(std::log(result_.observations[k].value / result_.predicted[k]));
        };
        double sum = 0;
        std::size_t counted = 0;
        for (std::size_t k = 0; k < all; ++k) {
            if (away(k) > away(worst)) worst = k;
            if (std::ranges::find(result_.strays, k) != result_.strays.end()) continue;
            sum += away(k) * away(k);
            ++counted;
        }
        const double off = counted > 0 ? std::sqrt(sum / static_cast<double>(counted)) : 0.0;
        const auto& o = result_.observations[worst];
        const Dimension dimension = measured_dimension(o.measured);
        const std::string where =
            fmt::format("the worst is point {}, {} {} where the curve has {}", o.point + 1,
                        measured_words(o.measured), engineering_short(o.value, dimension, 3),
                        engineering_short(result_.predicted[worst], dimension, 3));
        constexpr std::string_view causes =
            "look for a wrong unit, columns exchanged, a logarithmic axis read as linear, another "
            "kind of part";
        if (off > cannot_be) {
            return CardFitFailure{.problems = {},
                                  .message = fmt::format(
                                      "the points lie {:.0f} % off every curve of such a part; {}; "
                                      "{}",
                                      100 * std::expm1(off), where, causes)};
        }
        const bool many_strays = all >= 6 && result_.strays.size() * 5 > all;
        if (off > odd || many_strays) {
            result_.doubts.push_back(
                fmt::format("the points do not lie well on one curve; {}; {}", where, causes));
        }
        return std::nullopt;
    }

    // What links will ask of the card and points do not tell.
    void add_gaps() {
        const auto& keys = kind_rule(result_.card.kind).keys;
        const bool limited = std::ranges::any_of(keys, [&](const KeyRule& key) {
            return key.group == "limits" && result_.card.find(key.key);
        });
        if (!limited) {
            result_.doubts.emplace_back(
                "the card states no limits, so nothing of the part will be rated: add [limits], or "
                "begin with a card that has them");
        }
        if (result_.card.kind == Kind::led && !result_.card.find(Key::radiant_intensity) &&
            !result_.card.find(Key::luminous_intensity)) {
            result_.doubts.emplace_back(
                "the card states no light, so that the part can be the emitter of no pair: add "
                "radiant_intensity or luminous_intensity under [model], or begin with a card that "
                "has one");
        }
    }

    // Limits that a data sheet states take the place of any other spread.
    std::optional<CardFitFailure> apply_limits() {
        for (const auto& [key, limits] : options_.limits) {
            const auto found = std::ranges::find(result_.figures, key, &FittedFigure::key);
            Diagnostic fault{.cause = Cause::unknown_key, .place = {}, .message = {}, .remedy = {}};
            if (found == result_.figures.end()) {
                std::vector<std::string> names;
                for (const auto& figure : result_.figures) names.emplace_back(key_name(figure.key));
                fault.message = fmt::format("limits of {}, which these points do not tell", key);
                fault.remedy = fmt::format("they tell {}", fmt::join(names, ", "));
                return CardFitFailure{.problems = only(std::move(fault))};
            }
            if (found->value < limits.lowest || found->value > limits.highest) {
                fault.cause = Cause::contradiction;
                fault.message = fmt::format(
                    "the points give {} a value outside of the limits stated for it", key);
                fault.remedy = "check the units, and at which current or light the limits hold";
                return CardFitFailure{.problems = only(std::move(fault))};
            }
            found->spread = Spread{found->value, limits.lowest, limits.highest};
            found->spread_from = "limits as stated";
        }
        return std::nullopt;
    }

    void write_card() {
        Description& card = result_.card;
        card = base_;
        for (const auto& figure : result_.figures) {
            if (figure.kept) continue;
            if (figure.key == Key::forward) card.figures.erase(Key::saturation_current);
            if (figure.key == Key::ctr) card.figures.erase(Key::photocurrent_ratio);
            Figure stated{.spread = figure.spread.value_or(exactly(figure.value)),
                          .conditions = figure.conditions,
                          .place = base_.place};
            card.figures[figure.key] = stated;
        }
    }

    const Description& base_;
    const CardFitOptions& options_;
    TestPoint at_;
    CardFit result_;
    std::vector<OneFit> fits_;  // by specimen
    std::vector<std::size_t> counts_;
};

}  // namespace

std::expected<CardFit, CardFitFailure> fit_card(const Description& base,
                                                const std::vector<MeasuredPoint>& points,
                                                const CardFitOptions& options) {
    return CardFitter(base, options).run(points);
}

}  // namespace gapwright
