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

class SpecimenFitter {
  public:
    SpecimenFitter(const Description& base, const TestPoint& at,
                   const std::vector<Observation>& observations, const CardFitOptions& options)
        : at_(at),
          observations_(observations),
          options_(options),
          card_(prepared_card(base, at, observations)),
          keys_(fit_keys(base.kind, observations)) {
        // What a card states as nothing has no logarithm, and stays nothing.
        std::erase_if(keys_, [&](const FitKey& key) {
            const auto* figure = card_.find(key.key);
            return key.logarithmic && key.doubt > 0 && figure && figure->spread.nominal <= 0;
        });
        // What the base card states of a figure's spread is known of it beforehand: as much again
        // on either side, and no more than of any part.
        for (auto& key : keys_) {
            const auto* figure = base.find(key.key);
            if (key.doubt <= 0 || !figure || !figure->has_stated_spread()) continue;
            const double width = key.logarithmic
                                     ? std::log(figure->spread.highest / figure->spread.lowest)
                                     : figure->spread.highest - figure->spread.lowest;
            if (width > 0 && std::isfinite(width)) key.doubt = std::min(key.doubt, width / 2);
        }
    }

    std::expected<OneFit, CardFitFailure> run() {
        if (auto failure = pose(keys_)) return std::unexpected(std::move(*failure));
        std::vector<double> values = starts();
        std::expected<Fit, FitFailure> fit;
        // Twice: how much an error of the current matters depends on the curve's own slope.
        for (const bool last : {false, true}) {
            fit = fitted(values, last ? 12 : 1, last);
            if (!fit) return std::unexpected(failed(fit.error()));
            values.clear();
            for (const auto& p : fit->parameters) values.push_back(p.value);
        }
        OneFit result;
        for (std::size_t k = 0; k < keys_.size(); ++k) {
            const auto& p = fit->parameters[k];
            result.told.push_back({.key = keys_[k].key,
                                   .logarithmic = keys_[k].logarithmic,
                                   .value = p.value,
                                   .uncertainty = p.uncertainty,
                                   .lowest = p.lowest,
                                   .highest = p.highest,
                                   .share = p.told,
                                   .kept = keys_[k].doubt > 0 && p.told < told_enough,
                                   .apart = keys_[k].apart});
        }
        if (auto failure = keep_untold(*fit, values, result)) {
            return std::unexpected(std::move(*failure));
        }
        state_ctr(*fit, values, result);
        describe(values, fit->noise, result);
        return result;
    }

  private:
    static CardFitFailure failed(const FitFailure& failure) {
        return {.problems = {}, .message = failure.message, .stopped = failure.stopped};
    }

    // Sets the model up for these keys.
    std::optional<CardFitFailure> pose(const std::vector<FitKey>& keys) {
        std::vector<Key> fitted;
        for (const auto& key : keys) fitted.push_back(key.key);
        auto model = part_model(card_, fitted);
        if (!model) return CardFitFailure{.problems = model.error()};
        model_ = std::move(*model);
        return std::nullopt;
    }

    // Where the search begins: the card's figures, those that scale a measured quantity scaled to
    // the middle point of it.
    std::vector<double> starts() const {
        std::vector<double> values = model_->figures();
        for (std::size_t k = 0; k < keys_.size(); ++k) {
            const auto& key = keys_[k];
            if (card_.find(key.key) && key.key != Key::photocurrent_ratio &&
                key.key != Key::sensitivity) {
                values[k] = key.doubt > 0 ? beforehand(key) : card_.nominal(key.key);
            }
            if (key.doubt == 0 && key.shown_by != Measured::forward_voltage) scale(values, k);
            values[k] = std::clamp(values[k], key.lowest, key.highest);
        }
        return values;
    }

    void scale(std::vector<double>& values, std::size_t k) const {
        std::vector<const Observation*> same;
        for (const auto& o : observations_) {
            if (o.measured == keys_[k].shown_by) same.push_back(&o);
        }
        const Observation& middle = *same[same.size() / 2];
        // (in turns, as a receiver's current is not quite in proportion to its light)
        for (int turn = 0; turn < 4; ++turn) {
            double predicted = 0;
            if (!model_->predict(middle, values, predicted, {}) || !(predicted > 0)) return;
            values[k] =
                std::clamp(values[k] * middle.value / predicted, keys_[k].lowest, keys_[k].highest);
        }
    }

    // The standard uncertainty of a forward voltage, V: its own, and that of the current it was
    // measured at.
    double voltage_uncertainty(const Observation& o, std::span<const double> values) const {
        const double own = o.uncertainty * o.value;
        if (o.uncertainty_given) return own;
        Observation more = o;
        more.forward_current *= 1 + current_uncertainty;
        double here = 0;
        double there = 0;
        if (!model_->predict(o, values, here, {}) || !model_->predict(more, values, there, {})) {
            return own;
        }
        return std::hypot(own, there - here);
    }

    std::expected<Fit, FitFailure> fitted(const std::vector<double>& values, int starts,
                                          bool intervals) {
        FitProblem problem;
        problem.points = observations_.size();
        for (std::size_t k = 0; k < keys_.size(); ++k) {
            const auto& key = keys_[k];
            FitParameter p{.name = std::string(key_name(key.key)),
                           .start = values[k],
                           .lowest = key.lowest,
                           .highest = key.highest,
                           .logarithmic = key.logarithmic};
            if (key.doubt > 0) {
                p.expected = beforehand(key);
                p.doubt = key.doubt;
            }
            if (key.key == Key::ideality) {
                // Beyond 80 n·V_T the law goes on as a straight line.
                const double volts = card_.nominal(Key::forward);
                p.lowest = std::max(p.lowest, volts / ((exponential_knee - 1) *
                                                       thermal_voltage(reference_temperature)));
                p.start = std::max(p.start, 1.05 * p.lowest);
            }
            p.start = std::clamp(p.start, p.lowest, p.highest);
            problem.parameters.push_back(std::move(p));
        }
        std::vector<double> volts(observations_.size());
        for (std::size_t k = 0; k < volts.size(); ++k) {
            if (observations_[k].measured == Measured::forward_voltage) {
                volts[k] = voltage_uncertainty(observations_[k], values);
            }
        }
        problem.misfit = [&](std::size_t point, std::span<const double> parameters, double& misfit,
                             std::span<double> slopes) {
            const Observation& o = observations_[point];
            double predicted = 0;
            if (!model_->predict(o, parameters, predicted, slopes)) return false;
            double scale = 1 / volts[point];
            if (o.measured == Measured::forward_voltage) {
                misfit = (predicted - o.value) * scale;
            } else {
                if (!(predicted > 0)) return false;
                misfit = std::log(predicted / o.value) / o.uncertainty;
                scale = 1 / (predicted * o.uncertainty);
            }
            for (double& slope : slopes) slope *= scale;
            return true;
        };
        // What a point says of its own error counts for more than what is assumed of it.
        const bool given = std::ranges::all_of(observations_, &Observation::uncertainty_given);
        const bool timed = is_time(observations_.front());  // then all are
        return fit_least_squares(problem, {.starts = timed ? 1 : starts,
                                           .robust = observations_.size() >= 6,
                                           .trust = given ? 3.0 : 0.5,
                                           .rounding = timed ? 1e-4 : 1e-8,
                                           .intervals = intervals,
                                           .seed = options_.seed,
                                           .stop = options_.stop});
    }

    // Where a figure lies as far as is known without points.
    double beforehand(const FitKey& key) const {
        const auto* figure = card_.find(key.key);
        return key.about > 0 && figure->assumed ? key.about : figure->spread.nominal;
    }

    // What no point tells goes back to where it was, and the others are fitted once more.
    std::optional<CardFitFailure> keep_untold(const Fit&, std::vector<double>& values,
                                              OneFit& result) {
        if (std::ranges::none_of(result.told, &Told::kept)) return std::nullopt;
        std::vector<FitKey> left;
        std::vector<double> start;
        std::vector<std::size_t> where;
        for (std::size_t k = 0; k < keys_.size(); ++k) {
            if (result.told[k].kept) {
                values[k] = card_.nominal(keys_[k].key);
                Told& kept = result.told[k];
                kept.value = values[k];
                // (the search may have been kept from where the card has it)
                kept.lowest = std::min(kept.lowest, kept.value);
                kept.highest = std::max(kept.highest, kept.value);
            } else {
                left.push_back(keys_[k]);
                start.push_back(values[k]);
                where.push_back(k);
            }
        }
        if (left.empty()) return std::nullopt;
        const std::vector<FitKey> all = std::exchange(keys_, left);
        if (auto failure = pose(keys_)) return failure;
        const auto fit = fitted(start, 1, false);
        if (!fit) return failed(fit.error());
        for (std::size_t j = 0; j < where.size(); ++j) {
            Told& told = result.told[where[j]];
            told.value = fit->parameters[j].value;
            told.lowest = std::min(told.lowest, told.value);
            told.highest = std::max(told.highest, told.value);
            values[where[j]] = told.value;
        }
        keys_ = all;
        return pose(keys_);
    }

    // A coupler's card states its transfer ratio at a test point, in place of the photocurrent
    // ratio: told better than that is, and what people compare.
    void state_ctr(const Fit& fit, const std::vector<double>& values, OneFit& result) const {
        const auto found = std::ranges::find(result.told, Key::photocurrent_ratio, &Told::key);
        if (found == result.told.end()) return;
        Observation o{.measured = Measured::collector_current};
        o.forward_current = at_.current;
        o.collector_emitter_voltage = at_.voltage;
        double current = 0;
        std::vector<double> slopes(keys_.size());
        if (!model_->predict(o, values, current, slopes)) return;
        // Of its logarithm, from the estimates' covariance.
        const std::size_t n = keys_.size();
        const auto slope = [&](std::size_t k) {
            return slopes[k] * (keys_[k].logarithmic ? values[k] : 1.0) / current;
        };
        double variance = 0;
        for (std::size_t j = 0; j < n; ++j) {
            for (std::size_t k = 0; k < n; ++k) {
                variance += slope(j) * slope(k) * fit.covariance95[j * n + k];
            }
        }
        found->key = Key::ctr;
        found->value = current / at_.current;
        found->uncertainty = std::sqrt(std::max(variance, 0.0));
        found->lowest = found->value * std::exp(-normal_reach * found->uncertainty);
        found->highest = found->value * std::exp(normal_reach * found->uncertainty);
    }

    void describe(const std::vector<double>& values, double noise, OneFit& result) const {
        for (std::size_t k = 0; k < observations_.size(); ++k) {
            const Observation& o = observations_[k];
            double predicted = 0;
            model_->predict(o, values, predicted, {});
            const double misfit = o.measured == Measured::forward_voltage
                                      ? (o.value - predicted) / voltage_uncertainty(o, values)
                                      : std::log(o.value / predicted) / o.uncertainty;
            result.predicted.push_back(predicted);
            result.misfits.push_back(misfit / noise);
            if (std::abs(misfit) > 4 * noise && observations_.size() >= 6) {
                result.strays.push_back(k);
            }
        }
    }

    const TestPoint& at_;
    const std::vector<Observation>& observations_;
    const CardFitOptions& options_;
    Description card_;
    std::vector<FitKey> keys_;
    std::unique_ptr<PartModel> model_;
};

// The base card with what points at rest told of it.
Description with_told(Description card, const TestPoint& at, const std::vector<Told>& figures) {
    for (const auto& told : figures) {
        if (told.kept) continue;
        Figure figure{.spread = exactly(told.value), .conditions = {}, .place = card.place};
        if (told.key == Key::forward) {
            figure.conditions = {at.current};
            card.figures.erase(Key::saturation_current);
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
        return SpecimenFitter(base, at, observations, options).run();
    }
    const auto rest = SpecimenFitter(base, at, resting, options).run();
    if (!rest) return std::unexpected(rest.error());
    const Description known = with_told(base, at, rest->told);
    const auto edges = SpecimenFitter(known, at, timed, options).run();
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
