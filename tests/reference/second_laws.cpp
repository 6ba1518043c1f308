// Parameters at temperature and the light across a gap, from docs/method.md.
#include "reference/second_laws.hpp"

#include <algorithm>
#include <numbers>

namespace gapwright::reference {

SecondJunction second_junction(const MadePart& part, const std::string& prefix, double kelvin) {
    const bool led = part.kind == "led" || part.kind == "pair";
    const bool emitter = part.kind == "coupler";
    const double ideality = part.figure(prefix + "ideality", led ? 2.0 : emitter ? 1.6 : 1.8);
    const double resistance = part.figure(prefix + "series_resistance", led       ? 2.0
                                                                        : emitter ? 1.5
                                                                                  : 0.05);
    const double exponent = part.figure(prefix + "temperature_exponent", 3.0);
    double saturation = part.figure(prefix + "saturation_current");
    if (part.has(prefix + "forward")) {
        const double current = part.figure(prefix + "forward_at");
        const double inner = part.figure(prefix + "forward") - current * resistance;
        saturation =
            current / std::expm1(inner * charge_over_boltzmann / (ideality * reference_kelvin));
    }
    double bandgap = part.figure(prefix + "bandgap", 1.12);
    const bool by_slope =
        part.has(prefix + "forward_slope") || ((led || emitter) && !part.has(prefix + "bandgap"));
    if (by_slope) {
        // At constant current T0·dv/dT = v − E_g − x·k·T0/q.
        const double at =
            part.figure(prefix + "forward_slope_at", part.figure(prefix + "forward_at", 10e-3));
        const double thermal = reference_kelvin / charge_over_boltzmann;
        const double inner = ideality * thermal * std::log1p(at / saturation);
        const double slope = part.figure(prefix + "forward_slope", led ? -2e-3 : -1.7e-3);
        bandgap = inner - exponent * thermal - slope * reference_kelvin;
    }
    return {saturation * saturation_rise(kelvin, exponent, ideality, bandgap),
            ideality * kelvin / charge_over_boltzmann, resistance};
}

SecondTransistor second_transistor(const MadePart& part, const std::string& prefix, double kelvin,
                                   bool receiver) {
    auto figure = [&](const char* key, double plain, double lit) {
        return part.figure(prefix + key, receiver ? lit : plain);
    };
    const double rise = saturation_rise(kelvin, 3, 1, 1.12);
    const double leak_ideality = figure("leak_ideality", 1.6, 1.6);
    const double gain_rise = std::pow(kelvin / reference_kelvin, figure("gain_exponent", 1.5, 1.5));
    const double thermal = kelvin / charge_over_boltzmann;
    return {.transport = figure("transport_current", 1e-14, 1e-13) * rise,
            .leak = figure("leak_current", 0, 2e-14) * std::pow(rise, 1 / leak_ideality),
            .gain = figure("gain", 200, 300) * gain_rise,
            .reverse_gain = figure("reverse_gain", 4, 10) * gain_rise,
            .early = figure("early_voltage", 80, 60),
            .knee = figure("knee_current", 0.2, 0.15),
            .thermal = thermal,
            .leak_scale = leak_ideality * thermal,
            .resistance = figure("collector_resistance", 1, 20)};
}

SecondMosfet second_mosfet(const MadePart& part, double kelvin) {
    return {.threshold = part.figure("threshold", 2) +
                         part.figure("threshold_slope", -3e-3) * (kelvin - reference_kelvin),
            .transconductance = part.figure("transconductance", 0.5),
            .slope = part.figure("slope_factor", 1.3),
            .modulation = part.figure("channel_modulation", 0.01),
            .thermal = kelvin / charge_over_boltzmann};
}

bool has_light_resistor(const MadePart& gap) {
    const auto found = gap.words.find("receiver.kind");
    return found != gap.words.end() && found->second == "light-dependent resistor";
}

double second_light(const MadePart& gap, double emitter_current, double kelvin) {
    const double current = std::max(emitter_current, 0.0);
    const double warmer = kelvin - reference_kelvin;
    const double doubling = std::exp2(warmer / 10);
    if (gap.kind == "coupler") {
        const double ratio = gap.figure("transfer.photocurrent_ratio", 4.5e-3);
        const double low = gap.figure("transfer.low_knee", 2.5e-3);
        const double high = gap.figure("transfer.high_knee", 0.1);
        const double fading = 1 + gap.figure("transfer.temperature_coefficient", -0.008) * warmer;
        return ratio * current * (current / (current + low)) / (1 + current / high) *
                   std::max(0.0, fading) +
               gap.figure("transfer.dark_current", 0.02e-9) * doubling;
    }
    const double degrees = std::numbers::pi / 180;
    const double order =
        -std::numbers::ln2 / std::log(std::cos(gap.figure("emitter.half_angle") * degrees));
    const std::string key =
        gap.has("emitter.luminous_intensity") ? "luminous_intensity" : "radiant_intensity";
    const double per_ampere = gap.figure("emitter." + key) / gap.figure("emitter." + key + "_at");
    const double distance = gap.figure("distance");
    const double fading =
        std::max(0.0, 1 + gap.figure("emitter.temperature_coefficient", -0.005) * warmer);
    const double field = per_ampere * current * fading *
                         std::pow(std::cos(gap.figure("angle") * degrees), order) /
                         (distance * distance);
    if (has_light_resistor(gap)) {
        return std::pow(field / gap.figure("receiver.resistance_at"),
                        gap.figure("receiver.gamma")) /
                   gap.figure("receiver.resistance") +
               1 / gap.figure("receiver.dark_resistance");
    }
    return field * gap.figure("receiver.sensitivity") / gap.figure("receiver.sensitivity_at") +
           gap.figure("receiver.dark_current", 0.02e-9) * doubling;
}

}  // namespace gapwright::reference
