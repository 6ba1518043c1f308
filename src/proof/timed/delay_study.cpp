#include "proof/timed/delay_study.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <expected>
#include <functional>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "proof/cases/case.hpp"
#include "proof/prove.hpp"
#include "proof/search/search_space.hpp"
#include "proof/timed/wave_answer.hpp"
#include "time/timed_measure.hpp"
#include "units/dimension.hpp"

namespace gapwright {
namespace {

// How far each figure of a specimen lies from its nominal, as a share of its range.
Case drawn_case(const LinkCircuit& circuit, const ConditionRanges& ranges,
                const Specimen& specimen) {
    Case figures;
    for (const auto& c : coordinates_of(circuit, ranges)) {
        if (c.kind != Coordinate::Kind::parameter) continue;
        const Parameter& parameter = circuit.parameters[to_index(c.slot)];
        const double value = specimen.values[to_index(c.slot)];
        const double reach = value > parameter.spread.nominal
                                 ? parameter.spread.highest - parameter.spread.nominal
                                 : parameter.spread.nominal - parameter.spread.lowest;
        figures.push_back({.figure = parameter.id,
                           .name = circuit.name_of(c.slot),
                           .value = value,
                           .nominal = parameter.spread.nominal,
                           .dimension = parameter.dimension,
                           .effect = std::abs(value - parameter.spread.nominal) / reach});
    }
    std::ranges::stable_sort(figures, std::ranges::greater{}, &CaseFigure::effect);
    const auto& at = specimen.conditions;
    if (ranges.temperature.varies()) {
        figures.push_back({.kind = Varying::temperature,
                           .name = "temperature",
                           .value = at.temperature,
                           .nominal = ranges.temperature.nominal,
                           .dimension = Dimension::temperature,
                           .effect = 1});
    }
    if (ranges.age.varies()) {
        figures.push_back({.kind = Varying::age,
                           .name = "age",
                           .value = at.age,
                           .nominal = 0,
                           .dimension = Dimension::time,
                           .effect = 1});
    }
    return figures;
}

}  // namespace

std::expected<DelayStudy, ProofFailure> delay_study(const LinkCircuit& circuit,
                                                    const ConditionRanges& ranges,
                                                    const std::vector<NamedDelay>& delays,
                                                    std::size_t samples, std::uint64_t seed,
                                                    const EngineOptions& engine) {
    std::vector<TimedMeasure> measures;
    for (const auto& delay : delays) measures.push_back(delay.measure);
    const Measurer measurer = timed_measurer(circuit.circuit, measures, {});
    const auto drawn = measurer.run(population_source(circuit, ranges, seed, samples), engine);
    if (drawn.outcome.unsettled > 0) {
        return std::unexpected(ProofFailure{
            fmt::format("no waveform was found for {} of the specimens", drawn.outcome.unsettled)});
    }
    if (drawn.outcome.solved == 0) {
        return std::unexpected(ProofFailure{"stopped before a specimen was looked at", true});
    }
    DelayStudy study{.spreads = {}, .specimens = drawn.outcome.solved};
    for (std::size_t d = 0; d < delays.size(); ++d) {
        std::vector<std::pair<double, std::size_t>> values;
        for (std::size_t k = 0; k < samples; ++k) {
            if (!std::isnan(drawn.at(k, d))) values.emplace_back(drawn.at(k, d), k);
        }
        std::ranges::sort(values);
        DelaySpread spread{
            .name = delays[d].name,
            .nominal = delays[d].nominal,
            .fastest = values.front().first,
            .middle = values[values.size() / 2].first,
            .slowest = values.back().first,
            .slowest_specimen = drawn_case(
                circuit, ranges, draw_specimen(circuit, ranges, seed, values.back().second))};
        spread.never_reached = static_cast<std::size_t>(
            std::ranges::count_if(values, [](const auto& value) { return value.first >= never; }));
        study.spreads.push_back(std::move(spread));
    }
    return study;
}

}  // namespace gapwright
