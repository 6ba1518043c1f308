#include "circuit/link_point.hpp"

#include <algorithm>

namespace gapwright {
namespace {

double value(std::span<const double> values, Slot slot) {
    return values[to_index(slot)];
}

Beam<double> beam_of(const Beam<Slot>& slots, std::span<const double> values) {
    return {.intensity = value(values, slots.intensity),
            .half_angle = value(values, slots.half_angle),
            .temperature_coefficient = value(values, slots.temperature_coefficient),
            .distance = value(values, slots.distance),
            .angle = value(values, slots.angle),
            .shroud = value(values, slots.shroud)};
}

// The light of one gap of any kind.
struct LightOf {
    std::span<const double> values;
    const Conditions& conditions;
    double emitter_current;
    double life;

    double operator()(const CouplerGap& gap) const {
        const auto& t = gap.transfer;
        const Transfer<double> transfer{
            .photocurrent_ratio = value(values, t.photocurrent_ratio),
            .low_knee = value(values, t.low_knee),
            .high_knee = value(values, t.high_knee),
            .temperature_coefficient = value(values, t.temperature_coefficient),
            .dark_current = value(values, t.dark_current)};
        return coupler_photocurrent(transfer, emitter_current, conditions.temperature, life);
    }
    double operator()(const PhototransistorGap& gap) const {
        const auto beam = beam_of(gap.beam, values);
        return value(values, gap.sensitivity) * from_beam(beam) +
               value(values, gap.ambient_sensitivity) * ambient(beam) +
               dark_current_at(value(values, gap.dark_current), conditions.temperature);
    }
    double operator()(const LightResistorGap& gap) const {
        const auto beam = beam_of(gap.beam, values);
        return from_beam(beam) + ambient(beam);
    }

    double from_beam(const Beam<double>& beam) const {
        return beam_at_receiver(beam, emitter_current, conditions.temperature, life);
    }
    double ambient(const Beam<double>& beam) const {
        return (1.0 - beam.shroud) * conditions.light;
    }
};

double life_of(const Gap& gap, std::span<const double> values, const Conditions& conditions,
               double ageing_current) {
    if (!gap.life) return 1.0;
    const auto& l = *gap.life;
    const Life<double> life{.to_80_percent = value(values, l.to_80_percent),
                            .at_current = value(values, l.at_current),
                            .at_temperature = value(values, l.at_temperature),
                            .current_exponent = value(values, l.current_exponent),
                            .activation_energy = value(values, l.activation_energy),
                            .shape = value(values, l.shape)};
    return light_left(life, conditions.time_on, ageing_current, conditions.temperature);
}

}  // namespace

GapLight gap_light(const Circuit& circuit, std::span<const double> values,
                   const Conditions& conditions, std::span<const double> emitter_currents,
                   std::span<const double> ageing_currents) {
    GapLight light;
    for (std::size_t g = 0; g < circuit.gaps.size(); ++g) {
        const Gap& gap = circuit.gaps[g];
        const double life = life_of(gap, values, conditions, ageing_currents[g]);
        light.push_back(
            std::visit(LightOf{values, conditions, emitter_currents[g], life}, gap.kind));
    }
    return light;
}

std::expected<std::vector<StatePoint>, LinkNotSettled> solve_link(
    const Circuit& circuit, std::span<const double> values, const Conditions& conditions,
    const std::vector<StatePoint>* start) {
    const auto failed = [](std::size_t state, const NotSettled& where) {
        return std::unexpected(LinkNotSettled{static_cast<StateIndex>(state), where});
    };
    std::vector<StatePoint> points(circuit.states.size());
    std::vector<double> ageing_currents(circuit.gaps.size(), 0.0);
    const auto emitter_current = [&](const StatePoint& point, std::size_t gap) {
        return point.input.currents[to_index(circuit.gaps[gap].emitter)];
    };
    for (std::size_t s = 0; s < points.size(); ++s) {
        auto input = operating_point(circuit.states[s].input, Side::input, values, conditions, {},
                                     start ? &(*start)[s].input : nullptr);
        if (!input) return failed(s, input.error());
        points[s].input = std::move(*input);
        for (std::size_t g = 0; g < ageing_currents.size(); ++g) {
            ageing_currents[g] = std::max(ageing_currents[g], emitter_current(points[s], g));
        }
    }
    for (std::size_t s = 0; s < points.size(); ++s) {
        std::vector<double> emitter_currents;
        for (std::size_t g = 0; g < circuit.gaps.size(); ++g) {
            emitter_currents.push_back(emitter_current(points[s], g));
        }
        points[s].light = gap_light(circuit, values, conditions, emitter_currents, ageing_currents);
        auto output = operating_point(circuit.states[s].output, Side::output, values, conditions,
                                      points[s].light, start ? &(*start)[s].output : nullptr);
        if (!output) return failed(s, output.error());
        points[s].output = std::move(*output);
    }
    return points;
}

}  // namespace gapwright
