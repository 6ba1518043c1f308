#include "proof/wave_answer.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "population/specimen.hpp"
#include "proof/drift.hpp"
#include "proof/promise_probe.hpp"
#include "proof/prove.hpp"
#include "proof/ratings.hpp"
#include "proof/shown.hpp"
#include "proof/timed_limits.hpp"
#include "proof/timed_study.hpp"
#include "time/pulses.hpp"
#include "time/signal_rate.hpp"
#include "time/timed_measure.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"
#include "waveform/schedule.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {
namespace {

constexpr double noticed_share = 0.01;  // of the largest of a kind: what is told to move
constexpr double thinning = 2e-4;       // of a curve's range: what points may be left out by
constexpr double least_current = 1e-9;  // A: what moves by less is not told

// A quantity with its place.
struct Quantity {
    std::string name;
    Side side;
    Dimension dimension;
    Probe probe;
};

std::vector<Quantity> quantities_of(const Link& link, const LinkCircuit& circuit) {
    std::vector<Quantity> quantities;
    for (const auto& shown : shown_voltages(link)) {
        quantities.push_back({shown.name, shown.probe.side, Dimension::voltage, shown.probe});
    }
    for (const auto& shown : shown_currents(link, circuit)) {
        if (shown.probe.ports.front().current.empty()) continue;  // a capacitor: not told
        quantities.push_back({shown.name, shown.probe.side, Dimension::current, shown.probe});
    }
    return quantities;
}

class Answerer {
  public:
    Answerer(const Link& link, const LinkCircuit& circuit, const WaveRequest& request)
        : link_(link), circuit_(circuit), request_(request) {
        ConditionRanges ranges = condition_ranges(link);
        if (request.temperature) ranges.temperature = exactly(*request.temperature);
        specimen_ = nominal_specimen(circuit, ranges);
        options_.record = true;
        options_.end = request.end;
        options_.stop = request.engine.stop;
    }

    std::expected<WaveAnswer, ProofFailure> run() {
        const Schedule schedule = schedule_of();
        answer_.kind = request_.kind;
        quantities_ = quantities_of(link_, circuit_);
        std::vector<WaveWatch> watches;
        for (const auto& q : quantities_) watches.push_back({.probe = q.probe});
        auto run = specimen_wave(circuit_.circuit, specimen_, schedule, watches, options_);
        if (!run) return std::unexpected(wave_failure(link_, run.error(), "the nominal link"));
        wave_ = std::move(run->wave);
        rest_ = std::move(run->rest);
        answer_.end = wave_.end;
        answer_.rested = wave_.rested;
        answer_.steps = wave_.steps;
        answer_.stores = stores_anything();
        for (const auto& change : schedule.changes) answer_.edges.push_back(change.at);
        for (const auto& surge : schedule.surges) answer_.edges.push_back(surge.at);
        for (const auto& dip : schedule.dips) answer_.edges.push_back(dip.at);
        fill_curves();
        note_transitions();
        if (request_.kind == WaveRequest::Kind::change) {
            if (auto failed = time_transitions(schedule)) return std::unexpected(*failed);
            answer_.drift = drift_of(link_, circuit_, specimen_, request_.after);
        }
        if (request_.kind == WaveRequest::Kind::signal) {
            if (auto failed = time_signal()) return std::unexpected(*failed);
        }
        return std::move(answer_);
    }

  private:
    Schedule schedule_of() {
        const auto name = [&](std::size_t state) { return link_.states[state].name; };
        switch (request_.kind) {
            case WaveRequest::Kind::signal:
                answer_.title = fmt::format("signal, {} and {}", name(link_.signal->rest),
                                            name(link_.signal->active));
                return signal_train(*link_.signal);
            case WaveRequest::Kind::disturbance:
                answer_.title = name(request_.before) + ", disturbed";
                return disturbed(*link_.disturbance, request_.before);
            case WaveRequest::Kind::change:
                break;
        }
        answer_.title = fmt::format("{} > {}", name(request_.before), name(request_.after));
        return {.from = static_cast<StateIndex>(request_.before),
                .changes = {{0, static_cast<StateIndex>(request_.after)}}};
    }

    bool stores_anything() const {
        const Circuit& c = circuit_.circuit;
        const bool slow_cell = std::ranges::any_of(c.states[0].output.elements, [](const auto& e) {
            const auto* cell = std::get_if<LightResistorElement>(&e);
            return cell && cell->response.rise_time;
        });
        return slow_cell || !c.input.stores.empty() || !c.output.stores.empty();
    }

    // Every quantity at every point, then only the points that curves need.
    void fill_curves() {
        std::vector<WaveCurve> curves;
        for (const auto& q : quantities_) curves.push_back({q.name, q.side, q.dimension, {}});
        const auto gaps = circuit_.circuit.gaps.size();
        std::vector<WaveCurve> lights;
        for (std::size_t g = 0; g < gaps; ++g) {
            const bool lux =
                std::holds_alternative<LightResistorGap>(circuit_.circuit.gaps[g].kind);
            lights.push_back(
                {gap_name(g), Side::output, lux ? Dimension::illuminance : Dimension::current, {}});
        }
        std::vector<double> times;
        for (const auto& point : wave_.points) {
            times.push_back(point.time);
            for (std::size_t k = 0; k < quantities_.size(); ++k) {
                curves[k].values.push_back(measure(quantities_[k].probe, point.point));
            }
            for (std::size_t g = 0; g < gaps; ++g) {
                lights[g].values.push_back(point.point.light[g]);
            }
        }
        const auto kept = kept_points(times, curves, lights);
        for (const std::size_t k : kept) answer_.times.push_back(times[k]);
        for (auto* list : {&curves, &lights}) {
            for (auto& curve : *list) {
                std::vector<double> values;
                for (const std::size_t k : kept) values.push_back(curve.values[k]);
                curve.values = std::move(values);
            }
        }
        answer_.curves = std::move(curves);
        answer_.lights = std::move(lights);
    }

    std::string gap_name(std::size_t gap) const {
        for (std::size_t k = 0, g = 0; k < link_.parts.size(); ++k) {
            if (!link_.parts[k].is_gap()) continue;
            if (g++ == gap) return link_.parts[k].name;
        }
        return {};
    }

    // A point is left out where straight lines from the last kept one to the next come near enough
    // to every curve.
    static std::vector<std::size_t> kept_points(const std::vector<double>& times,
                                                const std::vector<WaveCurve>& curves,
                                                const std::vector<WaveCurve>& lights) {
        std::vector<std::pair<const std::vector<double>*, double>> all;
        for (const auto* list : {&curves, &lights}) {
            for (const auto& curve : *list) {
                const auto [low, high] = std::ranges::minmax(curve.values);
                if (high > low) all.emplace_back(&curve.values, thinning * (high - low));
            }
        }
        std::vector<std::size_t> kept = {0};
        for (std::size_t k = 1; k + 1 < times.size(); ++k) {
            const std::size_t from = kept.back();
            const std::size_t to = k + 1;
            const double span = times[to] - times[from];
            bool needed = !(span > 0);
            for (std::size_t p = from + 1; p < to && !needed; ++p) {
                const double share = (times[p] - times[from]) / span;
                for (const auto& [values, off] : all) {
                    const double line = std::lerp((*values)[from], (*values)[to], share);
                    if (std::abs((*values)[p] - line) > off) {
                        needed = true;
                        break;
                    }
                }
            }
            if (needed) kept.push_back(k);
        }
        if (times.size() > 1) kept.push_back(times.size() - 1);
        return kept;
    }

    // The largest swing of each kind on each side, against which others are noticed.
    double largest(Side side, Dimension dimension) const {
        double most = dimension == Dimension::current ? 1e2 * least_current : 1e-3;
        for (std::size_t k = 0; k < quantities_.size(); ++k) {
            if (quantities_[k].side != side || quantities_[k].dimension != dimension) continue;
            most = std::max(most, wave_.highest[k] - wave_.lowest[k]);
        }
        return most;
    }

    void note_transitions() {
        for (std::size_t k = 0; k < quantities_.size(); ++k) {
            const Quantity& q = quantities_[k];
            const double swing = wave_.highest[k] - wave_.lowest[k];
            if (swing < noticed_share * largest(q.side, q.dimension)) continue;
            moving_.push_back(k);
            answer_.transitions.push_back({.name = q.name,
                                           .dimension = q.dimension,
                                           .before = wave_.first[k],
                                           .after = wave_.last[k],
                                           .lowest = wave_.lowest[k],
                                           .highest = wave_.highest[k],
                                           .halfway = {},
                                           .edge_time = {}});
        }
    }

    // A second run with the levels that the first one showed.
    std::optional<ProofFailure> time_transitions(const Schedule& schedule) {
        std::vector<TimedMeasure> measures;
        const auto reach = [&](const Probe& probe, double level) {
            measures.push_back({.reading = TimedMeasure::Reading::reach,
                                .schedule = schedule,
                                .probe = probe,
                                .level = level});
        };
        const auto& before = rest_[request_.before];
        const auto& after = rest_[request_.after];
        for (std::size_t k = 0; k < moving_.size(); ++k) {
            Transition& t = answer_.transitions[k];
            const Probe& probe = quantities_[moving_[k]].probe;
            t.after = measure(probe, after);
            for (const double share : {0.1, 0.5, 0.9}) {
                reach(probe, std::lerp(t.before, t.after, share));
            }
        }
        const std::size_t first_instant = measures.size();
        for (const auto& level : level_limits(link_, circuit_)) {
            const bool high = level.is_high(measure(level.probe, after));
            if (high == level.is_high(measure(level.probe, before))) continue;
            const bool coil = link_.parts[level.part].description.kind == Kind::coil;
            // A coil pulls in and drops out by its current: its resistance's share of the voltage.
            const double goal = high ? level.high : level.low;
            Probe probe = level.probe;
            double asked = goal;
            if (coil) {
                const auto& coil_part = link_.parts[level.part];
                probe = circuit_.of(level.part, coil_part.input ? Side::input : Side::output)
                            ->current();
                asked = goal / coil_part.description.nominal(Key::resistance);
                if (measure(probe, before) + measure(probe, after) < 0) asked = -asked;
            }
            answer_.instants.push_back({.part = link_.parts[level.part].name,
                                        .what = coil ? (high ? "pulls in" : "drops out")
                                                     : (high ? "reads high" : "reads low"),
                                        .level = goal,
                                        .at = {},
                                        .comes_to = std::abs(measure(level.probe, after))});
            reach(probe, asked);
        }
        WaveOptions wave;
        wave.stop = options_.stop;
        wave.end = options_.end;
        const auto values = timed_values(circuit_.circuit, specimen_, measures, wave);
        if (!values) return wave_failure(link_, values.error(), "the nominal link");
        const auto told = [&](std::size_t m) {
            return values->values[m] < never ? std::optional(values->values[m]) : std::nullopt;
        };
        for (std::size_t k = 0; k < answer_.transitions.size(); ++k) {
            Transition& t = answer_.transitions[k];
            if (std::abs(t.after - t.before) < noticed_share * (t.highest - t.lowest)) continue;
            t.halfway = told(3 * k + 1);
            if (t.dimension == Dimension::voltage && t.halfway.value_or(1) > 0) {
                answer_.delays.push_back(
                    {t.name + " half-way", values->values[3 * k + 1], measures[3 * k + 1]});
            }
            const auto tenth = told(3 * k);
            const auto ninth = told(3 * k + 2);
            if (tenth && ninth) t.edge_time = std::max(0.0, *ninth - *tenth);
        }
        for (std::size_t k = 0; k < answer_.instants.size(); ++k) {
            const std::size_t m = first_instant + k;
            answer_.instants[k].at = told(m);
            answer_.delays.push_back({answer_.instants[k].part + " " + answer_.instants[k].what,
                                      values->values[m], measures[m]});
        }
        return std::nullopt;
    }

    // At each level that a promise about the signal names, or in the middle between the levels of
    // each logic input.
    std::optional<ProofFailure> time_signal() {
        struct Timed {
            std::string quantity;
            Probe probe;
            double level;
        };
        std::vector<Timed> timed;
        const auto add = [&](const std::string& quantity, const Probe& probe, double level) {
            const bool known = std::ranges::any_of(
                timed, [&](const Timed& t) { return t.probe == probe && t.level == level; });
            if (!known) timed.push_back({quantity, probe, level});
        };
        for (const auto& promise : link_.promises) {
            if (!promise.signal || !promise.reaches) continue;
            const auto comma = promise.text.find(", ");
            add(comma == std::string::npos ? promise.text : promise.text.substr(comma + 2),
                promise_probe(promise, circuit_), *promise.reaches);
        }
        if (timed.empty()) {
            for (const auto& level : level_limits(link_, circuit_)) {
                if (link_.parts[level.part].description.kind != Kind::logic_input) continue;
                add("input " + link_.parts[level.part].name, level.probe,
                    0.5 * (level.low + level.high));
            }
        }
        if (timed.empty()) return std::nullopt;
        std::vector<WaveWatch> watches;
        for (const auto& t : timed) {
            watches.push_back({.probe = t.probe, .level = t.level, .trace = true});
        }
        WaveOptions wave;
        wave.stop = options_.stop;
        const Schedule train = signal_train(*link_.signal);
        const Schedule pattern = signal_pattern(*link_.signal);
        auto pulses = specimen_wave(circuit_.circuit, specimen_, train, watches, wave);
        if (!pulses) return wave_failure(link_, pulses.error(), "the nominal link");
        auto bits = specimen_wave(circuit_.circuit, specimen_, pattern, watches, wave);
        if (!bits) return wave_failure(link_, bits.error(), "the nominal link");
        for (std::size_t w = 0; w < timed.size(); ++w) {
            const double bit = link_.signal->bit;
            answer_.signal.push_back({.quantity = timed[w].quantity,
                                      .level = timed[w].level,
                                      .pulse = last_pulse(train, pulses->wave, w, timed[w].level),
                                      .bit = bit,
                                      .eye = eye_of(pattern, bits->wave, w, timed[w].level, bit),
                                      .pattern = std::move(bits->wave.traces[w])});
        }
        return std::nullopt;
    }

    const Link& link_;
    const LinkCircuit& circuit_;
    const WaveRequest& request_;
    Specimen specimen_;
    WaveOptions options_;
    std::vector<Quantity> quantities_;
    std::vector<std::size_t> moving_;  // by transition: its quantity
    std::vector<StatePoint> rest_;
    Waveform wave_;
    WaveAnswer answer_;
};

}  // namespace

std::expected<WaveAnswer, ProofFailure> wave_answer(const Link& link, const LinkCircuit& circuit,
                                                    const WaveRequest& request) {
    return Answerer(link, circuit, request).run();
}

}  // namespace gapwright
