#include "bench/sessions/built_link.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <expected>
#include <functional>
#include <optional>
#include <utility>
#include <vector>

#include "bench/faults/fault.hpp"
#include "bench/faults/link_edits.hpp"
#include "bench/faults/model_doubt.hpp"
#include "bench/meter/measurement.hpp"
#include "bench/meter/meter_error.hpp"
#include "bench/meter/simulated_readings.hpp"
#include "bench/reasoning/annealed_sample.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/suspicion.hpp"
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/receiver.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "link/figure_id.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/proof.hpp"
#include "proof/prove.hpp"
#include "proof/verdict.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr double useful_widening = 1.5;  // of the meter's error; with more nothing is learnt
constexpr double narrowed = 0.9;         // of the stated range: less of it counts as learnt
constexpr double year = 365.25 * 86400;
constexpr double longest_service = 50 * year;

// A figure of the link's that may be learnt.
struct Unknown {
    std::size_t slot;
    Spread stated;
    bool has_spread;  // of its own; else what is doubted of its model
};

// What was read, and the link of which it tells.
struct Lesson {
    const FaultDictionary& dictionary;
    ConditionRanges conditions = {};
    std::vector<Measurement> measured = {};
    std::vector<double> nominals = {};
    std::vector<double> read = {};
    Link stated = {};
    Link doubted = {};  // the same with doubt of its models
    LinkCircuit circuit = {};
    std::vector<Unknown> unknowns = {};
};

// A pair's beam knows its emitter and receiver per ampere and per W/m²; their cards do not.
bool set_beam(Link& link, std::size_t part, Key key, const Spread& spread) {
    const Description& whole = link.parts[part].description;
    if (whole.kind != Kind::pair) return false;
    const bool intensity = key == Key::intensity;
    const Key own = intensity ? receiver_rule(receiver_of(whole)).intensity : key;
    const Description& half = intensity ? *whole.emitter : *whole.receiver;
    const Figure* figure = half.find(own);
    if (!figure || figure->conditions.empty()) return false;
    const double per = figure->conditions[0];
    edits::set_figure(
        edits::description(link, part, intensity ? FigureId::Of::emitter : FigureId::Of::receiver),
        own, {spread.nominal * per, spread.lowest * per, spread.highest * per});
    return true;
}

// Sets a figure of the link; false where the file has none such.
bool set(Link& link, const FigureId& figure, const Spread& spread) {
    if (figure.condition) return false;
    switch (figure.of) {
        case FigureId::Of::input_supply:
        case FigureId::Of::output_supply: {
            const bool input = figure.of == FigureId::Of::input_supply;
            auto& supply = link.side(input ? Side::input : Side::output).supply;
            edits::set_figure(*supply, figure.key, spread);
            return true;
        }
        case FigureId::Of::part:
        case FigureId::Of::emitter:
        case FigureId::Of::receiver:
            break;
        case FigureId::Of::nobody:
            return false;
    }
    const Description& whole = link.parts[figure.part].description;
    const Description& now = figure.of == FigureId::Of::emitter    ? *whole.emitter
                             : figure.of == FigureId::Of::receiver ? *whole.receiver
                                                                   : whole;
    if (now.find(figure.key)) {
        edits::set_figure(edits::description(link, figure.part, figure.of), figure.key, spread);
        return true;
    }
    return set_beam(link, figure.part, figure.key, spread);
}

bool settable(const Link& link, const FigureId& figure) {
    Link copy = link;
    return set(copy, figure, exactly(1));
}

Lesson lesson_of(const Link& link, const FaultDictionary& dictionary,
                 const std::vector<TakenReading>& readings) {
    Lesson lesson{.dictionary = dictionary,
                  .conditions = bench_conditions(link, dictionary.options)};
    // Only what was read is simulated.
    for (const TakenReading& r : readings) {
        const Measurement& m = dictionary.measurements[r.measurement];
        if (m.kind == MeasurementKind::isolation) continue;  // tells of no figure
        lesson.measured.push_back(m);
        lesson.nominals.push_back(dictionary.nominals[r.measurement]);
        lesson.read.push_back(r.value);
    }
    const auto built = build_circuit(link);
    if (!built) return lesson;
    lesson.stated = with_photocurrent_ratios(link, *built);
    lesson.doubted = with_model_doubt(lesson.stated);
    lesson.circuit = *build_circuit(lesson.doubted);
    for (std::size_t k = 0; k < lesson.circuit.parameters.size(); ++k) {
        const Parameter& p = lesson.circuit.parameters[k];
        if (!p.spread.varies() || !settable(lesson.doubted, p.id)) continue;
        const auto own = built->find(p.id);
        const bool stated = own && built->parameters[to_index(*own)].spread.varies();
        lesson.unknowns.push_back({k, p.spread, stated});
    }
    return lesson;
}

// Specimens with these values of the unknowns, all else nominal. A circuit with a meter in it
// may keep a figure in another slot than the link's own.
SpecimenSource source_of(const Lesson& lesson, const LinkCircuit& circuit,
                         const std::vector<std::vector<double>>& values) {
    std::vector<Slot> slots;
    for (const Unknown& u : lesson.unknowns) {
        slots.push_back(circuit.find(lesson.circuit.parameters[u.slot].id).value());
    }
    return {.base = nominal_specimen(circuit, lesson.conditions),
            .count = values.front().size(),
            .write = [slots, &values](std::size_t k, SpecimenPlace& place) {
                for (std::size_t u = 0; u < slots.size(); ++u) {
                    place.set(slots[u], values[u][k]);
                }
                place.set(Conditions{.temperature = values[slots.size()][k],
                                     .light = values[slots.size() + 1][k],
                                     .age = 0});
            }};
}

// How far a specimen's readings lie from those taken: squares, in errors of the meter.
double misses(const Lesson& lesson, const SimulatedReadings& simulated, std::size_t k) {
    double sum = 0;
    for (std::size_t m = 0; m < lesson.measured.size(); ++m) {
        const MeasurementKind kind = lesson.measured[m].kind;
        const double value = shown(lesson.dictionary.meter, kind, simulated.at(k, m));
        if (std::isnan(value)) return INFINITY;
        if (!std::isfinite(lesson.read[m]) || !std::isfinite(value)) {
            if (std::isfinite(lesson.read[m]) != std::isfinite(value)) return INFINITY;
            continue;
        }
        const double away = (value - lesson.read[m]) /
                            standard_error(lesson.dictionary.meter, kind, lesson.read[m]);
        sum += away * away;
    }
    return sum;
}

// How far the readings of specimens with these unknowns lie from those taken.
std::vector<double> misses_of(const Lesson& lesson,
                              const std::vector<std::vector<double>>& values) {
    const std::size_t count = values.front().size();
    const BenchSetup setup{lesson.dictionary.meter, lesson.measured, lesson.nominals,
                           lesson.conditions};
    const auto simulated = simulate_specimens(
        lesson.doubted, setup, std::nullopt, count,
        [&](const LinkCircuit& circuit) { return source_of(lesson, circuit, values); });
    std::vector<double> squares(count, INFINITY);
    if (!simulated) return squares;
    for (std::size_t k = 0; k < count; ++k) squares[k] = misses(lesson, *simulated, k);
    return squares;
}

// Whether half of the samples read as was read: where none can, the nearest are sampled.
// Squares of what agrees are about one a reading, three at most by the meter's limits (own
// choice).
bool agrees(const Lesson& lesson, const AnnealedSample& sample) {
    const double most = 2 * static_cast<double>(lesson.measured.size()) + 6;
    auto squares = misses_of(lesson, sample.values);
    const auto middle = squares.begin() + static_cast<std::ptrdiff_t>(squares.size() / 2);
    std::ranges::nth_element(squares, middle);
    return *middle <= most * sample.widening * sample.widening;
}

// Nothing for a figure that is uniform within its range.
std::function<double(double)> density(const Lesson& lesson, const Unknown& u) {
    if (!lesson.circuit.parameters[u.slot].normal) return {};
    return [stated = u.stated](double value) {
        const double half = value < stated.nominal ? stated.nominal - stated.lowest
                                                   : stated.highest - stated.nominal;
        if (half <= 0) return 0.0;
        const double z = 3 * (value - stated.nominal) / half;  // limits are ±3σ
        return -0.5 * z * z;
    };
}

BuiltLink told(const Lesson& lesson, const AnnealedSample& sample) {
    BuiltLink result{.link = lesson.stated, .learnt = {}};
    constexpr double told_share = 0.99;
    for (std::size_t u = 0; u < lesson.unknowns.size(); ++u) {
        const Unknown& unknown = lesson.unknowns[u];
        const auto [low, high] = sample.middle(u, told_share);
        if (!unknown.has_spread) continue;
        const double all = unknown.stated.highest - unknown.stated.lowest;
        if (high - low > narrowed * told_share * all) continue;
        const Parameter& p = lesson.circuit.parameters[unknown.slot];
        const Spread learnt{std::clamp(sample.mean(u), low, high), low, high};
        set(result.link, p.id, learnt);
        result.learnt.push_back({lesson.circuit.name_of(static_cast<Slot>(unknown.slot)),
                                 p.dimension, unknown.stated, learnt});
    }
    std::ranges::stable_sort(result.learnt, {}, [](const LearntFigure& f) {
        return (f.learnt.highest - f.learnt.lowest) / (f.stated.highest - f.stated.lowest);
    });
    return result;
}

bool keeps_all(const Proof& proof) {
    return proof.verdict != Verdict::broken;
}

}  // namespace

std::optional<BuiltLink> built_link(const Link& link, const FaultDictionary& dictionary,
                                    const std::vector<TakenReading>& readings,
                                    const EngineOptions& engine) {
    const Lesson lesson = lesson_of(link, dictionary, readings);
    if (lesson.measured.empty() || lesson.unknowns.empty()) return std::nullopt;
    std::vector<UnknownRange> ranges;
    for (const Unknown& u : lesson.unknowns) {
        ranges.push_back({u.stated.lowest, u.stated.highest, density(lesson, u)});
    }
    // Of the bench nothing is learnt, but readings depend on it.
    for (const Spread* around : {&lesson.conditions.temperature, &lesson.conditions.light}) {
        ranges.push_back({around->lowest, std::max(around->highest, around->lowest + 1e-9), {}});
    }
    AnnealingOptions options{.seed = dictionary.options.seed + 1000};
    options.stop = [&engine] { return engine.stop.stop_requested(); };
    const auto sample = annealed_sample(
        ranges, [&](const auto& values) { return misses_of(lesson, values); }, options);
    if (!sample || sample->widening > useful_widening || !agrees(lesson, *sample)) {
        return std::nullopt;
    }
    return told(lesson, *sample);
}

std::expected<BuiltProof, ProofFailure> prove_built(const BuiltLink& built,
                                                    const ProofOptions& options) {
    const auto proof_at = [&](double service) -> std::expected<Proof, ProofFailure> {
        Link link = built.link;
        link.surroundings.service = service;
        const auto circuit = build_circuit(link);
        if (!circuit) return std::unexpected(ProofFailure{circuit.error().front().message, false});
        return prove(link, *circuit, options);
    };
    const double asked = built.link.surroundings.service;
    auto proof = proof_at(asked);
    if (!proof) return std::unexpected(proof.error());
    BuiltProof result{.proof = std::move(*proof)};
    double good = keeps_all(result.proof) ? asked : 0;
    double bad = keeps_all(result.proof) ? longest_service : asked;
    if (!keeps_all(result.proof)) {
        const auto fresh = proof_at(0);
        if (!fresh) return std::unexpected(fresh.error());
        if (!keeps_all(*fresh)) return result;
    } else {
        const auto old = proof_at(longest_service);
        if (!old) return std::unexpected(old.error());
        result.and_longer = keeps_all(*old);
        result.holds_for = longest_service;
        if (result.and_longer) return result;
    }
    while (bad - good > std::max(0.25 * year, 0.03 * bad)) {
        const double middle = 0.5 * (good + bad);
        const auto half = proof_at(middle);
        if (!half) return std::unexpected(half.error());
        (keeps_all(*half) ? good : bad) = middle;
    }
    result.holds_for = good;
    return result;
}

}  // namespace gapwright
