#include "fit/specimen_fit.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "device/constants.hpp"
#include "device/number.hpp"
#include "fit/card_fit.hpp"
#include "fit/chart_errors.hpp"
#include "fit/fit_keys.hpp"
#include "fit/least_squares.hpp"
#include "fit/observation.hpp"
#include "fit/part_model.hpp"
#include "fit/test_point.hpp"
#include "units/quantity.hpp"

namespace gapwright::fitting {
namespace {

// Told less than this of what was known beforehand, a figure stays as it was. Own choice.
constexpr double told_enough = 0.3;

bool is_time(const Observation& o) {
    return o.measured == Measured::rise_time || o.measured == Measured::fall_time;
}

// One specimen's points, and the card that they are fitted from.
struct Question {
    const TestPoint& at;
    const std::vector<Observation>& observations;
    const CardFitOptions& options;
    Description card;
};

// The figures that are fitted, and what the part says with them.
struct Posed {
    std::vector<FitKey> keys;
    std::unique_ptr<PartModel> model;
};

std::expected<Posed, CardFitFailure> posed_for(const Question& q, std::vector<FitKey> keys) {
    std::vector<Key> fitted;
    for (const auto& key : keys) fitted.push_back(key.key);
    auto model = part_model(q.card, fitted);
    if (!model) return std::unexpected(CardFitFailure{.problems = model.error()});
    return Posed{std::move(keys), std::move(*model)};
}

std::vector<FitKey> keys_to_fit(const Question& q, const Description& base) {
    auto keys = fit_keys(base.kind, q.observations);
    // What a card states as nothing has no logarithm, and stays nothing.
    std::erase_if(keys, [&](const FitKey& key) {
        const auto* figure = q.card.find(key.key);
        return key.logarithmic && key.doubt > 0 && figure && figure->spread.nominal <= 0;
    });
    // What the base card states of a figure's spread is known of it beforehand: as much again on
    // either side, and no more than of any part.
    for (auto& key : keys) {
        const auto* figure = base.find(key.key);
        if (key.doubt <= 0 || !figure || !figure->has_stated_spread()) continue;
        const double width = key.logarithmic
                                 ? std::log(figure->spread.highest / figure->spread.lowest)
                                 : figure->spread.highest - figure->spread.lowest;
        if (width > 0 && std::isfinite(width)) key.doubt = std::min(key.doubt, width / 2);
    }
    return keys;
}

std::unexpected<CardFitFailure> failed(const FitFailure& failure) {
    return std::unexpected(
        CardFitFailure{.problems = {}, .message = failure.message, .stopped = failure.stopped});
}

// Where a figure lies as far as is known without points.
double beforehand(const Question& q, const FitKey& key) {
    const auto* figure = q.card.find(key.key);
    return key.about > 0 && figure->assumed ? key.about : figure->spread.nominal;
}

// A figure scaled so that the middle point of what shows it is met.
double scaled(const Question& q, const Posed& posed, std::vector<double> values, std::size_t k) {
    const FitKey& key = posed.keys[k];
    std::vector<const Observation*> same;
    for (const auto& o : q.observations) {
        const bool covered = o.measured == Measured::resistance && o.illuminance == 0;
        if (o.measured == key.shown_by && !covered) same.push_back(&o);
    }
    if (same.empty()) return values[k];
    const Observation& middle = *same[same.size() / 2];
    // (in turns, as a receiver's current is not quite in proportion to its light)
    for (int turn = 0; turn < 4; ++turn) {
        double predicted = 0;
        if (!posed.model->predict(middle, values, predicted, {}) || !(predicted > 0)) break;
        values[k] = std::clamp(values[k] * middle.value / predicted, key.lowest, key.highest);
    }
    return values[k];
}

// Where the search begins: the card's figures, those that scale a measured quantity scaled to
// the middle point of it.
std::vector<double> starts(const Question& q, const Posed& posed) {
    std::vector<double> values = posed.model->figures();
    for (std::size_t k = 0; k < posed.keys.size(); ++k) {
        const auto& key = posed.keys[k];
        if (q.card.find(key.key) && key.key != Key::photocurrent_ratio &&
            key.key != Key::sensitivity) {
            values[k] = key.doubt > 0 ? beforehand(q, key) : q.card.nominal(key.key);
        }
        if (key.doubt == 0 && key.shown_by != Measured::forward_voltage)
            values[k] = scaled(q, posed, values, k);
        values[k] = std::clamp(values[k], key.lowest, key.highest);
    }
    return values;
}

// The standard uncertainty of a forward voltage, V: its own, and that of the current it was
// measured at.
double voltage_uncertainty(PartModel& model, const Observation& o, std::span<const double> values) {
    const double own = o.uncertainty * o.value;
    if (o.uncertainty_given) return own;
    Observation more = o;
    more.forward_current *= 1 + current_uncertainty;
    double here = 0;
    double there = 0;
    if (!model.predict(o, values, here, {}) || !model.predict(more, values, there, {})) {
        return own;
    }
    return std::hypot(own, there - here);
}

std::expected<Fit, FitFailure> fitted(const Question& q, const Posed& posed,
                                      const std::vector<double>& values, int starts,
                                      bool intervals) {
    FitProblem problem;
    problem.points = q.observations.size();
    for (std::size_t k = 0; k < posed.keys.size(); ++k) {
        const auto& key = posed.keys[k];
        FitParameter p{.name = std::string(key_name(key.key)),
                       .start = values[k],
                       .lowest = key.lowest,
                       .highest = key.highest,
                       .logarithmic = key.logarithmic};
        if (key.doubt > 0) {
            p.expected = beforehand(q, key);
            p.doubt = key.doubt;
        }
        if (key.key == Key::ideality) {
            // Beyond 80 n·V_T the law goes on as a straight line.
            const double volts = q.card.nominal(Key::forward);
            p.lowest = std::max(p.lowest, volts / ((exponential_knee - 1) *
                                                   thermal_voltage(reference_temperature)));
            p.start = std::max(p.start, 1.05 * p.lowest);
        }
        p.start = std::clamp(p.start, p.lowest, p.highest);
        problem.parameters.push_back(std::move(p));
    }
    std::vector<double> volts(q.observations.size());
    for (std::size_t k = 0; k < volts.size(); ++k) {
        if (q.observations[k].measured == Measured::forward_voltage) {
            volts[k] = voltage_uncertainty(*posed.model, q.observations[k], values);
        }
    }
    // What a chart's points have in common is looked for beside the figures.
    const auto shared = chart_errors(q.observations);
    const std::size_t figures = posed.keys.size();
    for (std::size_t j = 0; j < shared.size(); ++j) {
        problem.parameters.push_back(
            {.name = "chart", .lowest = -6, .highest = 6, .doubt = 1.0, .expected = 0.0});
    }
    problem.misfit = [&](std::size_t point, std::span<const double> parameters, double& misfit,
                         std::span<double> slopes) {
        const Observation& o = q.observations[point];
        double predicted = 0;
        const auto own = slopes.empty() ? slopes : slopes.first(figures);
        if (!posed.model->predict(o, parameters.first(figures), predicted, own)) return false;
        double scale = 1 / volts[point];
        if (o.measured == Measured::forward_voltage) {
            misfit = (predicted - o.value) * scale;
        } else {
            if (!(predicted > 0)) return false;
            misfit = std::log(predicted / o.value) / o.uncertainty;
            scale = 1 / (predicted * o.uncertainty);
        }
        for (double& slope : own) slope *= scale;
        for (std::size_t j = 0; j < shared.size(); ++j) {
            const double share = o.measured == Measured::forward_voltage
                                     ? shared[j][point] * o.value / volts[point]
                                     : shared[j][point] / o.uncertainty;
            misfit += share * parameters[figures + j];
            if (!slopes.empty()) slopes[figures + j] = share;
        }
        return true;
    };
    // What a point says of its own error counts for more than what is assumed of it.
    const bool given = std::ranges::all_of(q.observations, &Observation::uncertainty_given);
    const bool timed = is_time(q.observations.front());  // then all are
    return fit_least_squares(problem, {.starts = timed ? 1 : starts,
                                       .robust = q.observations.size() >= 6,
                                       .trust = given ? 3.0 : 0.5,
                                       .rounding = timed ? 1e-4 : 1e-8,
                                       .intervals = intervals,
                                       .seed = q.options.seed,
                                       .stop = q.options.stop});
}

// A coupler's card states its transfer ratio at a test point, in place of the photocurrent
// ratio: told better than that is, and what people compare.
void state_ctr(const Question& q, const Posed& posed, const Fit& fit,
               const std::vector<double>& values, OneFit& result) {
    const auto found = std::ranges::find(result.told, Key::photocurrent_ratio, &Told::key);
    if (found == result.told.end()) return;
    Observation o{.measured = Measured::collector_current};
    o.forward_current = q.at.current;
    o.collector_emitter_voltage = q.at.voltage;
    double current = 0;
    std::vector<double> slopes(posed.keys.size());
    if (!posed.model->predict(o, values, current, slopes)) return;
    // Of its logarithm, from the estimates' covariance.
    const std::size_t n = posed.keys.size();
    const auto slope = [&](std::size_t k) {
        return slopes[k] * (posed.keys[k].logarithmic ? values[k] : 1.0) / current;
    };
    double variance = 0;
    for (std::size_t j = 0; j < n; ++j) {
        for (std::size_t k = 0; k < n; ++k) {
            variance += slope(j) * slope(k) * fit.covariance95[j * fit.parameters.size() + k];
        }
    }
    found->key = Key::ctr;
    found->value = current / q.at.current;
    found->uncertainty = std::sqrt(std::max(variance, 0.0));
    found->lowest = found->value * std::exp(-normal_reach * found->uncertainty);
    found->highest = found->value * std::exp(normal_reach * found->uncertainty);
}

void describe(const Question& q, const Posed& posed, const std::vector<double>& values,
              double noise, OneFit& result) {
    for (std::size_t k = 0; k < q.observations.size(); ++k) {
        const Observation& o = q.observations[k];
        double predicted = 0;
        posed.model->predict(o, values, predicted, {});
        const double misfit =
            o.measured == Measured::forward_voltage
                ? (o.value - predicted) / voltage_uncertainty(*posed.model, o, values)
                : std::log(o.value / predicted) / o.uncertainty;
        result.predicted.push_back(predicted);
        result.misfits.push_back(misfit / noise);
        if (std::abs(misfit) > 4 * noise && q.observations.size() >= 6) {
            result.strays.push_back(k);
        }
    }
}

Told told_of(const FitKey& key, const FittedParameter& p) {
    return {.key = key.key,
            .logarithmic = key.logarithmic,
            .value = p.value,
            .uncertainty = p.uncertainty,
            .lowest = p.lowest,
            .highest = p.highest,
            .share = p.told,
            .kept = key.doubt > 0 && p.told < told_enough,
            .apart = key.apart,
            .in_transfer = key.in_transfer};
}

// What no point tells goes back to where it was, and the others are fitted once more.
std::expected<std::vector<Told>, CardFitFailure> with_untold_kept(std::vector<Told> all,
                                                                  const Question& q,
                                                                  const std::vector<FitKey>& keys) {
    std::vector<FitKey> left;
    std::vector<double> start;
    std::vector<std::size_t> where;
    for (std::size_t k = 0; k < keys.size(); ++k) {
        if (all[k].kept) {
            all[k].value = q.card.nominal(keys[k].key);
            // (the search may have been kept from where the card has it)
            all[k].lowest = std::min(all[k].lowest, all[k].value);
            all[k].highest = std::max(all[k].highest, all[k].value);
        } else {
            left.push_back(keys[k]);
            start.push_back(all[k].value);
            where.push_back(k);
        }
    }
    if (left.empty() || left.size() == keys.size()) return all;
    const auto posed = posed_for(q, std::move(left));
    if (!posed) return std::unexpected(posed.error());
    const auto fit = fitted(q, *posed, start, 1, false);
    if (!fit) return failed(fit.error());
    for (std::size_t j = 0; j < where.size(); ++j) {
        Told& told = all[where[j]];
        told.value = fit->parameters[j].value;
        told.lowest = std::min(told.lowest, told.value);
        told.highest = std::max(told.highest, told.value);
    }
    return all;
}

std::vector<double> values_of(const Fit& fit, std::size_t figures) {
    std::vector<double> values;
    for (const auto& p : fit.parameters) values.push_back(p.value);
    values.resize(figures);  // those behind are a chart's errors
    return values;
}

std::expected<OneFit, CardFitFailure> fit_together(const Description& base, const TestPoint& at,
                                                   const std::vector<Observation>& observations,
                                                   const CardFitOptions& options) {
    const Question q{at, observations, options, prepared_card(base, at, observations)};
    auto posed = posed_for(q, keys_to_fit(q, base));
    if (!posed) return std::unexpected(std::move(posed.error()));
    // Twice: how much an error of the current matters depends on the curve's own slope.
    const auto rough = fitted(q, *posed, starts(q, *posed), 1, false);
    if (!rough) return failed(rough.error());
    const auto fit = fitted(q, *posed, values_of(*rough, posed->keys.size()), 12, true);
    if (!fit) return failed(fit.error());
    std::vector<Told> all;
    for (std::size_t k = 0; k < posed->keys.size(); ++k) {
        all.push_back(told_of(posed->keys[k], fit->parameters[k]));
    }
    auto told = with_untold_kept(std::move(all), q, posed->keys);
    if (!told) return std::unexpected(std::move(told.error()));
    std::vector<double> values;
    for (const auto& one : *told) values.push_back(one.value);
    OneFit result;
    result.told = std::move(*told);
    state_ctr(q, *posed, *fit, values, result);
    describe(q, *posed, values, fit->noise, result);
    return result;
}

// The base card with what points at rest told of it.
Description with_told(Description card, const TestPoint& at, const std::vector<Told>& figures) {
    for (const auto& told : figures) {
        if (told.kept) continue;
        Figure figure{.spread = exactly(told.value), .conditions = {}, .place = card.place};
        if (told.key == Key::forward) {
            figure.conditions = {at.current};
            card.figures.erase(Key::saturation_current);
        } else if (told.key == Key::forward_slope) {
            figure.conditions = {at.current};
            card.figures.erase(Key::bandgap);
        } else if (told.key == Key::ctr) {
            figure.conditions = {at.current, at.voltage};
            card.figures.erase(Key::photocurrent_ratio);
        } else if (told.key == Key::sensitivity) {
            figure.spread = exactly(told.value * at.irradiance);
            figure.conditions = {at.irradiance};
        }
        card.figures[told.key] = figure;
    }
    return card;
}

}  // namespace

std::expected<OneFit, CardFitFailure> fit_specimen(const Description& base, const TestPoint& at,
                                                   const std::vector<Observation>& observations,
                                                   const CardFitOptions& options) {
    // A time is a whole waveform, and its slopes are many: what is measured at rest is fitted first
    // and then held, so that times are asked for the one figure that only they tell.
    std::vector<Observation> resting;
    std::vector<Observation> timed;
    std::vector<std::size_t> of_resting;
    std::vector<std::size_t> of_timed;
    for (std::size_t k = 0; k < observations.size(); ++k) {
        (is_time(observations[k]) ? timed : resting).push_back(observations[k]);
        (is_time(observations[k]) ? of_timed : of_resting).push_back(k);
    }
    if (timed.empty() || resting.empty()) {
        return fit_together(base, at, observations, options);
    }
    const auto rest = fit_together(base, at, resting, options);
    if (!rest) return std::unexpected(rest.error());
    const Description known = with_told(base, at, rest->told);
    const auto edges = fit_together(known, at, timed, options);
    if (!edges) return std::unexpected(edges.error());
    OneFit both;
    both.predicted.resize(observations.size());
    both.misfits.resize(observations.size());
    const auto take = [&](const OneFit& part, const std::vector<std::size_t>& where) {
        both.told.insert(both.told.end(), part.told.begin(), part.told.end());
        for (std::size_t k = 0; k < where.size(); ++k) {
            both.predicted[where[k]] = part.predicted[k];
            both.misfits[where[k]] = part.misfits[k];
        }
        for (const std::size_t stray : part.strays) both.strays.push_back(where[stray]);
    };
    take(*rest, of_resting);
    take(*edges, of_timed);
    return both;
}

}  // namespace gapwright::fitting
