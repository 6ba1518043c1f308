#include "proof/timed/wave_answer.hpp"

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
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "proof/limits/ratings.hpp"
#include "proof/prove.hpp"
#include "proof/rest/promise_probe.hpp"
#include "proof/timed/drift.hpp"
#include "proof/timed/nominal_in_time.hpp"
#include "proof/timed/timed_limits.hpp"
#include "proof/timed/wave_curves.hpp"
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
constexpr double least_current = 1e-9;  // A: what moves by less is not told

Schedule schedule_of(const Link& link, const WaveRequest& request) {
    switch (request.kind) {
        case WaveRequest::Kind::signal:
            return signal_train(*link.signal);
        case WaveRequest::Kind::disturbance:
            return disturbed(*link.disturbance, request.before);
        case WaveRequest::Kind::change:
            break;
    }
    return {.from = static_cast<StateIndex>(request.before),
            .changes = {{0, static_cast<StateIndex>(request.after)}}};
}

std::string title_of(const Link& link, const WaveRequest& request) {
    const auto name = [&](std::size_t state) { return link.states[state].name; };
    switch (request.kind) {
        case WaveRequest::Kind::signal:
            return fmt::format("signal, {} and {}", name(link.signal->rest),
                               name(link.signal->active));
        case WaveRequest::Kind::disturbance:
            return name(request.before) + ", disturbed";
        case WaveRequest::Kind::change:
            break;
    }
    return fmt::format("{} > {}", name(request.before), name(request.after));
}

std::vector<double> edges_of(const Schedule& schedule) {
    std::vector<double> edges;
    for (const auto& change : schedule.changes) edges.push_back(change.at);
    for (const auto& surge : schedule.surges) edges.push_back(surge.at);
    for (const auto& dip : schedule.dips) edges.push_back(dip.at);
    return edges;
}

bool stores_anything(const Circuit& circuit) {
    const auto& elements = circuit.states[0].output.elements;
    const bool slow_cell = std::ranges::any_of(elements, [](const auto& e) {
        const auto* cell = std::get_if<LightResistorElement>(&e);
        return cell && cell->response.rise_time;
    });
    return slow_cell || !circuit.input.stores.empty() || !circuit.output.stores.empty();
}

// A quantity that moves enough to be told.
struct Moving {
    Quantity quantity;
    Transition transition;
};

std::vector<Moving> moving_quantities(const std::vector<Quantity>& quantities,
                                      const Waveform& wave) {
    const auto swing = [&](std::size_t k) { return wave.highest[k] - wave.lowest[k]; };
    // The largest swing of each kind on each side, against which others are noticed.
    const auto largest = [&](const Quantity& kind) {
        double most = kind.dimension == Dimension::current ? 1e2 * least_current : 1e-3;
        for (std::size_t k = 0; k < quantities.size(); ++k) {
            const Quantity& q = quantities[k];
            if (q.side == kind.side && q.dimension == kind.dimension)
                most = std::max(most, swing(k));
        }
        return most;
    };
    std::vector<Moving> moving;
    for (std::size_t k = 0; k < quantities.size(); ++k) {
        const Quantity& q = quantities[k];
        if (swing(k) < noticed_share * largest(q)) continue;
        moving.push_back({q,
                          {.name = q.name,
                           .dimension = q.dimension,
                           .before = wave.first[k],
                           .after = wave.last[k],
                           .lowest = wave.lowest[k],
                           .highest = wave.highest[k],
                           .halfway = {},
                           .edge_time = {}}});
    }
    return moving;
}

// An instant without its time, and what of the part reaches which level then.
struct AskedInstant {
    LevelInstant instant;
    Probe probe;
    double level;
};

// None where the part is on the same side of its levels before and after.
std::optional<AskedInstant> asked_instant(const Link& link, const LinkCircuit& circuit,
                                          const LevelLimit& level, const StatePoint& before,
                                          const StatePoint& after) {
    const bool high = level.is_high(measure(level.probe, after));
    if (high == level.is_high(measure(level.probe, before))) return std::nullopt;
    const Part& part = link.parts[level.part];
    const bool coil = part.description.kind == Kind::coil;
    const double goal = high ? level.high : level.low;
    AskedInstant asked{.instant = {.part = part.name,
                                   .what = coil ? (high ? "pulls in" : "drops out")
                                                : (high ? "reads high" : "reads low"),
                                   .level = goal,
                                   .at = {},
                                   .comes_to = std::abs(measure(level.probe, after))},
                       .probe = level.probe,
                       .level = goal};
    if (!coil) return asked;
    // A coil pulls in and drops out by its current: its resistance's share of the voltage.
    asked.probe = circuit.of(level.part, part.input ? Side::input : Side::output)->current();
    asked.level = goal / part.description.nominal(Key::resistance);
    if (measure(asked.probe, before) + measure(asked.probe, after) < 0) asked.level = -asked.level;
    return asked;
}

struct ChangeTimes {
    std::vector<Transition> transitions;
    std::vector<LevelInstant> instants;
    std::vector<NamedDelay> delays;
};

// A second run with the levels that the first one showed.
std::expected<ChangeTimes, ProofFailure> change_times(const Link& link, const LinkCircuit& circuit,
                                                      const WaveRequest& request,
                                                      const Specimen& specimen,
                                                      const Schedule& schedule,
                                                      const std::vector<Moving>& moving,
                                                      const std::vector<StatePoint>& rest) {
    const StatePoint& before = rest[request.before];
    const StatePoint& after = rest[request.after];
    std::vector<TimedMeasure> measures;
    const auto reach = [&](const Probe& probe, double level) {
        measures.push_back({.reading = TimedMeasure::Reading::reach,
                            .schedule = schedule,
                            .probe = probe,
                            .level = level});
        return measures.size() - 1;
    };
    struct Way {
        Transition transition;
        std::size_t tenth;  // measures
        std::size_t halfway;
        std::size_t nine_tenths;
    };
    std::vector<Way> ways;
    for (const auto& [quantity, first] : moving) {
        Way way{.transition = first, .tenth = 0, .halfway = 0, .nine_tenths = 0};
        Transition& t = way.transition;
        t.after = measure(quantity.probe, after);
        way.tenth = reach(quantity.probe, std::lerp(t.before, t.after, 0.1));
        way.halfway = reach(quantity.probe, std::lerp(t.before, t.after, 0.5));
        way.nine_tenths = reach(quantity.probe, std::lerp(t.before, t.after, 0.9));
        ways.push_back(std::move(way));
    }
    struct Instant {
        LevelInstant instant;
        std::size_t measure;
    };
    std::vector<Instant> instants;
    for (const auto& level : level_limits(link, circuit)) {
        const auto asked = asked_instant(link, circuit, level, before, after);
        if (asked) instants.push_back({asked->instant, reach(asked->probe, asked->level)});
    }
    WaveOptions wave;
    wave.stop = request.engine.stop;
    wave.end = request.end;
    const auto found = timed_values_so_far(circuit.circuit, specimen, measures, wave);
    if (!found) return std::unexpected(wave_failure(link, found.error(), "the nominal link"));
    ChangeTimes times;
    const auto& values = found->values;
    const auto told = [&](std::size_t m) {
        return values[m] < never ? std::optional(values[m]) : std::nullopt;
    };
    const auto delay = [&](std::string name, std::size_t m) {
        const auto nominal = found->open[m] ? std::nullopt : std::optional(values[m]);
        times.delays.push_back({std::move(name), nominal, measures[m]});
    };
    for (auto& [t, tenth, halfway, nine_tenths] : ways) {
        if (!(std::abs(t.after - t.before) < noticed_share * (t.highest - t.lowest))) {
            t.halfway = told(halfway);
            t.open = found->open[halfway];
            if (t.dimension == Dimension::voltage && t.halfway.value_or(1) > 0) {
                delay(t.name + " half-way", halfway);
            }
            const auto first = told(tenth);
            const auto last = told(nine_tenths);
            if (first && last) t.edge_time = std::max(0.0, *last - *first);
        }
        times.transitions.push_back(std::move(t));
    }
    for (auto& [instant, m] : instants) {
        instant.at = told(m);
        instant.open = found->open[m];
        delay(instant.part + " " + instant.what, m);
        times.instants.push_back(std::move(instant));
    }
    return times;
}

// Where a signal is looked at.
struct SignalLevel {
    std::string quantity;
    Probe probe;
    double level;
};

// Each level that a promise about the signal names, or the middle between the levels of each logic
// input.
std::vector<SignalLevel> signal_levels(const Link& link, const LinkCircuit& circuit) {
    std::vector<SignalLevel> levels;
    const auto add = [&](const std::string& quantity, const Probe& probe, double level) {
        const bool known = std::ranges::any_of(
            levels, [&](const SignalLevel& l) { return l.probe == probe && l.level == level; });
        if (!known) levels.push_back({quantity, probe, level});
    };
    for (const auto& promise : link.promises) {
        if (!promise.signal || !promise.reaches) continue;
        const auto comma = promise.text.find(", ");
        add(comma == std::string::npos ? promise.text : promise.text.substr(comma + 2),
            promise_probe(promise, circuit), *promise.reaches);
    }
    if (!levels.empty()) return levels;
    for (const auto& level : level_limits(link, circuit)) {
        if (link.parts[level.part].description.kind != Kind::logic_input) continue;
        add("input " + link.parts[level.part].name, level.probe, 0.5 * (level.low + level.high));
    }
    return levels;
}

std::expected<std::vector<SignalAnswer>, ProofFailure> signal_answers(const Link& link,
                                                                      const LinkCircuit& circuit,
                                                                      const WaveRequest& request,
                                                                      const Specimen& specimen) {
    const auto levels = signal_levels(link, circuit);
    std::vector<SignalAnswer> answers;
    if (levels.empty()) return answers;
    std::vector<WaveWatch> watches;
    for (const auto& l : levels) {
        watches.push_back({.probe = l.probe, .level = l.level, .trace = true});
    }
    WaveOptions wave;
    wave.stop = request.engine.stop;
    const Schedule train = signal_train(*link.signal);
    const Schedule pattern = signal_pattern(*link.signal);
    auto pulses = specimen_wave(circuit.circuit, specimen, train, watches, wave);
    if (!pulses) return std::unexpected(wave_failure(link, pulses.error(), "the nominal link"));
    auto bits = specimen_wave(circuit.circuit, specimen, pattern, watches, wave);
    if (!bits) return std::unexpected(wave_failure(link, bits.error(), "the nominal link"));
    const double bit = link.signal->bit;
    for (std::size_t w = 0; w < levels.size(); ++w) {
        answers.push_back({.quantity = levels[w].quantity,
                           .level = levels[w].level,
                           .pulse = last_pulse(train, pulses->wave, w, levels[w].level),
                           .bit = bit,
                           .eye = eye_of(pattern, bits->wave, w, levels[w].level, bit),
                           .pattern = std::move(bits->wave.traces[w])});
    }
    return answers;
}

}  // namespace

std::expected<WaveAnswer, ProofFailure> wave_answer(const Link& link, const LinkCircuit& circuit,
                                                    const WaveRequest& request) {
    ConditionRanges ranges = condition_ranges(link);
    if (request.temperature) ranges.temperature = exactly(*request.temperature);
    const Specimen specimen = nominal_specimen(circuit, ranges);
    const Schedule schedule = schedule_of(link, request);
    const auto quantities = quantities_of(link, circuit);
    std::vector<WaveWatch> watches;
    for (const auto& q : quantities) watches.push_back({.probe = q.probe});
    WaveOptions options;
    options.record = true;
    options.end = request.end;
    options.stop = request.engine.stop;
    const auto run = specimen_wave(circuit.circuit, specimen, schedule, watches, options);
    if (!run) return std::unexpected(wave_failure(link, run.error(), "the nominal link"));
    auto drawn = wave_curves(link, circuit, quantities, run->wave.points);
    WaveAnswer answer{.title = title_of(link, request),
                      .kind = request.kind,
                      .times = std::move(drawn.times),
                      .curves = std::move(drawn.curves),
                      .lights = std::move(drawn.lights),
                      .transitions = {},
                      .instants = {},
                      .delays = {},
                      .signal = {},
                      .drift = {},
                      .edges = edges_of(schedule),
                      .end = run->wave.end,
                      .rested = run->wave.rested,
                      .stores = stores_anything(circuit.circuit),
                      .steps = run->wave.steps};
    const auto moving = moving_quantities(quantities, run->wave);
    if (request.kind == WaveRequest::Kind::change) {
        auto times = change_times(link, circuit, request, specimen, schedule, moving, run->rest);
        if (!times) return std::unexpected(times.error());
        answer.transitions = std::move(times->transitions);
        answer.instants = std::move(times->instants);
        answer.delays = std::move(times->delays);
        answer.drift = drift_of(link, circuit, specimen, request.after);
        return answer;
    }
    for (const auto& one : moving) answer.transitions.push_back(one.transition);
    if (request.kind == WaveRequest::Kind::signal) {
        auto signal = signal_answers(link, circuit, request, specimen);
        if (!signal) return std::unexpected(signal.error());
        answer.signal = std::move(*signal);
    }
    return answer;
}

}  // namespace gapwright
