#include "reference/made_parts.hpp"

#include <cmath>

namespace gapwright::reference {
namespace {

// A junction's keys; about half state their forward voltage, half their saturation current.
void add_junction(Dice& dice, MadePart& part, const std::string& prefix, double forward,
                  double ideality, double series, double bandgap) {
    auto& figures = part.figures;
    if (dice.chance(0.6)) figures[prefix + "ideality"] = ideality * dice.between(0.9, 1.1);
    if (dice.chance(0.6)) figures[prefix + "series_resistance"] = dice.around(series);
    if (dice.chance(0.4)) {
        const double share = dice.between(0, 1);
        if (share < 0.5) {
            figures[prefix + "forward_slope"] = -1e-3 - 6e-3 * share;
            figures[prefix + "forward_slope_at"] = 5e-3 + 20e-3 * share;
        } else {
            figures[prefix + "bandgap"] = bandgap * (0.9 + 0.15 * share);
        }
    }
    if (dice.chance(0.3)) figures[prefix + "temperature_exponent"] = dice.between(2.5, 3.5);
    if (dice.chance(0.6)) {
        figures[prefix + "forward"] = forward * dice.between(0.95, 1.08);
        figures[prefix + "forward_at"] = dice.decades(5e-3, 30e-3);
    } else {  // a current that gives about the same voltage at 10 mA
        const double scale = part.figure(prefix + "ideality", ideality) * 0.02569;
        figures[prefix + "saturation_current"] =
            dice.around(10e-3 * std::exp(-(forward - 10e-3 * series) / scale));
    }
}

void add_bipolar(Dice& dice, MadePart& part, const std::string& prefix, bool receiver) {
    auto maybe = [&](const char* key, double value) {
        if (dice.chance(0.5)) part.figures[prefix + key] = value;
    };
    maybe("transport_current", dice.around(receiver ? 1e-13 : 1e-14));
    maybe("gain", dice.decades(80, 600));
    maybe("reverse_gain", dice.decades(1, 20));
    maybe("early_voltage", dice.decades(30, 200));
    maybe("knee_current", dice.around(receiver ? 30e-3 : 0.2));
    maybe("leak_current", dice.decades(1e-14, 1e-11));
    maybe("leak_ideality", dice.between(1.4, 2.0));
    maybe("collector_resistance", dice.around(receiver ? 4.0 : 1.0));
    maybe("gain_exponent", dice.between(1.0, 2.0));
}

MadePart made(const std::string& kind) {
    return {.kind = kind, .figures = {}, .words = {}};
}

MadePart with_resistance(const std::string& kind, double ohms) {
    MadePart part = made(kind);
    part.figures["resistance"] = ohms;
    return part;
}

}  // namespace

double Dice::between(double low, double high) {
    return low + (high - low) * static_cast<double>(engine_() >> 11) * 0x1p-53;
}
double Dice::decades(double low, double high) {
    return std::exp(between(std::log(low), std::log(high)));
}
bool Dice::chance(double share) {
    return between(0, 1) < share;
}
std::size_t Dice::below(std::size_t count) {
    return engine_() % count;
}

MadePart resistor(Dice& dice, double low, double high) {
    MadePart part = made("resistor");
    part.figures["value"] = dice.decades(low, high);
    return part;
}

MadePart contact(Dice& dice) {
    MadePart part = made("contact");
    if (dice.chance(0.4)) part.figures["closed_resistance"] = dice.decades(0.01, 1);
    if (dice.chance(0.4)) part.figures["open_resistance"] = dice.decades(1e7, 1e10);
    return part;
}

MadePart diode(Dice& dice) {
    MadePart part = made("diode");
    add_junction(dice, part, "", 0.7, 1.8, 0.05, 1.12);
    return part;
}

MadePart led(Dice& dice) {
    MadePart part = made("led");
    add_junction(dice, part, "", 1.9, 2.0, 2, 1.9);
    return part;
}

MadePart zener(Dice& dice) {
    MadePart part = made("zener");
    add_junction(dice, part, "", 0.7, 1.8, 0.05, 1.12);
    part.figures["zener_voltage"] = dice.between(4.7, 24);
    return part;
}

MadePart capacitor(Dice& dice) {
    MadePart part = made("capacitor");
    part.figures["value"] = dice.decades(1e-10, 1e-5);
    return part;
}

MadePart inductor(Dice& dice) {
    MadePart part = with_resistance("inductor", dice.decades(0.01, 50));
    part.figures["value"] = dice.decades(1e-6, 0.1);
    return part;
}

MadePart coil(Dice& dice) {
    return with_resistance("coil", dice.decades(60, 2000));
}
MadePart load(Dice& dice) {
    return with_resistance("load", dice.decades(50, 50e3));
}

MadePart logic_output(Dice& dice, double supply) {
    MadePart part = made("logic output");
    part.figures["high"] = supply * dice.between(0.85, 1.0);
    part.figures["low"] = dice.between(0.0, 0.4);
    if (dice.chance(0.6)) part.figures["resistance"] = dice.decades(5, 200);
    return part;
}

MadePart logic_input() {
    return made("logic input");
}

MadePart transistor(Dice& dice, bool pnp) {
    MadePart part = made("transistor");
    if (pnp) {
        part.words["polarity"] = "pnp";
    } else if (dice.chance(0.3)) {
        part.words["polarity"] = "npn";
    }
    add_bipolar(dice, part, "", false);
    return part;
}

MadePart mosfet(Dice& dice, bool p_channel) {
    MadePart part = made("mosfet");
    if (p_channel) part.words["channel"] = "p";
    if (dice.chance(0.6)) part.figures["threshold"] = dice.between(0.8, 3);
    if (part.has("threshold")) part.figures["threshold_slope"] = -2e-3 * part.figure("threshold");
    if (dice.chance(0.6)) part.figures["transconductance"] = dice.decades(0.05, 5);
    if (dice.chance(0.4)) part.figures["slope_factor"] = dice.between(1.1, 1.6);
    if (dice.chance(0.4)) part.figures["channel_modulation"] = dice.between(0, 0.05);
    return part;
}

MadePart coupler(Dice& dice) {
    MadePart part = made("coupler");
    add_junction(dice, part, "emitter.", 1.2, 1.6, 1.5, 1.43);
    auto maybe = [&](const char* key, double value) {
        if (dice.chance(0.5)) part.figures[std::string("transfer.") + key] = value;
    };
    maybe("photocurrent_ratio", dice.decades(1e-3, 8e-3));
    maybe("low_knee", dice.decades(0.1e-3, 2e-3));
    maybe("high_knee", dice.decades(0.05, 0.5));
    maybe("temperature_coefficient", dice.between(-0.008, 0.002));
    maybe("dark_current", dice.decades(1e-12, 5e-9));
    add_bipolar(dice, part, "receiver.", true);
    return part;
}

MadePart pair(Dice& dice, bool light_resistor) {
    MadePart part = made("pair");
    auto& figures = part.figures;
    part.words["emitter.kind"] = "led";
    add_junction(dice, part, "emitter.", light_resistor ? 2.9 : 1.25, 2.0, 2, 1.9);
    const std::string intensity =
        light_resistor ? "emitter.luminous_intensity" : "emitter.radiant_intensity";
    figures[intensity] = light_resistor ? dice.decades(0.2, 5) : dice.decades(3e-3, 30e-3);
    figures[intensity + "_at"] = 20e-3;
    figures["emitter.half_angle"] = dice.between(8, 40);
    if (dice.chance(0.3)) figures["emitter.temperature_coefficient"] = dice.between(-0.008, 0);
    figures["distance"] = dice.decades(8e-3, 100e-3);
    if (dice.chance(0.5)) figures["angle"] = dice.between(0, 12);
    if (dice.chance(0.5)) figures["shroud"] = dice.between(0, 1);
    if (light_resistor) {
        part.words["receiver.kind"] = "light-dependent resistor";
        figures["receiver.resistance"] = dice.decades(2e3, 50e3);
        figures["receiver.resistance_at"] = 10;
        figures["receiver.gamma"] = dice.between(0.5, 1.0);
        figures["receiver.dark_resistance"] = dice.decades(2e5, 2e7);
    } else {
        part.words["receiver.kind"] = "phototransistor";
        figures["receiver.sensitivity"] = dice.decades(1e-6, 20e-6);
        figures["receiver.sensitivity_at"] = 10;
        if (dice.chance(0.5)) figures["receiver.dark_current"] = dice.decades(1e-12, 1e-9);
        add_bipolar(dice, part, "receiver.", true);
    }
    return part;
}

}  // namespace gapwright::reference
