// How far specimens lie apart. Where a card states it, as it states; else what such figures do from
// type to type and within a reel (own choices within common practice).
#include <algorithm>
#include <cmath>
#include <map>

#include "reference/second_bench/board.hpp"
#include "reference/second_laws.hpp"

namespace gapwright::reference {
namespace {

struct Habit {
    double low, high;  // times the nominal
    bool decades = false;
};

// Figures that are stated, or assumed, as one number.
const std::map<Key, Habit>& habits() {
    static const std::map<Key, Habit> table{
        {Key::forward, {0.96, 1.04}},
        {Key::saturation_current, {0.5, 2, true}},
        {Key::transport_current, {0.5, 2, true}},
        {Key::leak_current, {0.5, 2, true}},
        {Key::dark_current, {0.3, 3, true}},
        {Key::collector_resistance, {0.6, 1.7}},
        {Key::threshold, {0.9, 1.1}},
        {Key::transconductance, {0.6, 1.6}},
        {Key::slope_factor, {0.95, 1.05}},
        {Key::channel_modulation, {0.4, 2}},
        {Key::gain, {0.7, 1.4}},
        {Key::reverse_gain, {0.5, 2}},
        {Key::early_voltage, {0.7, 1.4}},
        {Key::knee_current, {0.6, 1.6}},
        {Key::ideality, {0.96, 1.04}},
        {Key::series_resistance, {0.7, 1.5}},
        {Key::gamma, {0.95, 1.05}},
        {Key::dark_resistance, {0.5, 4, true}},
        {Key::closed_resistance, {0.4, 10, true}},  // of 50 mΩ: 20 mΩ … 0.5 Ω
        {Key::open_resistance, {1, 100, true}},
        {Key::resistance, {0.95, 1.05}},
        {Key::value, {0.95, 1.05}},
        {Key::voltage, {0.98, 1.02}},
        {Key::high, {0.97, 1.03}},
        {Key::zener_voltage, {0.95, 1.05}},
        {Key::zener_resistance, {0.5, 2}},
        {Key::radiant_intensity, {0.8, 1.25}},
        {Key::luminous_intensity, {0.8, 1.25}},
        {Key::half_angle, {0.9, 1.1}},
        {Key::sensitivity, {0.7, 1.4}},
        {Key::ambient_sensitivity, {0.7, 1.4}},
        {Key::distance, {0.97, 1.03}},
        {Key::temperature_coefficient, {0.7, 1.3}},
        {Key::low_knee, {0.7, 1.4}},
        {Key::high_knee, {0.7, 1.4}},
        {Key::ctr, {0.7, 1.4}},
        {Key::photocurrent_ratio, {0.7, 1.4}},
    };
    return table;
}

}  // namespace

double drawn_figure(Key key, const Figure& figure, Dice& dice) {
    const Spread& s = figure.spread;
    if (figure.has_stated_spread()) {
        // Half of the makers sort, the others deliver about the middle (own choice).
        if (dice.happens(0.5)) return dice.between(s.lowest, s.highest);
        const double toward = dice.share() + dice.share() - 1;
        return toward < 0 ? s.nominal + toward * (s.nominal - s.lowest)
                          : s.nominal + toward * (s.highest - s.nominal);
    }
    const auto habit = habits().find(key);
    if (habit == habits().end() || s.nominal == 0) return s.nominal;
    const auto [low, high, decades] = habit->second;
    return s.nominal * (decades ? dice.decades(low, high) : dice.between(low, high));
}

MadePart drawn_device(const Description& description, Dice& dice) {
    MadePart made;
    made.kind = kind_rule(description.kind).name;
    for (const auto& [key, word] : description.choices) {
        made.words[std::string(key_name(key))] = word;
    }
    for (const auto& [key, figure] : description.figures) {
        const std::string name(key_name(key));
        made.figures[name] = drawn_figure(key, figure, dice);
        for (std::size_t k = 0; k < figure.conditions.size(); ++k) {
            made.figures[name + (k == 0 ? "_at" : "_at_2")] = figure.conditions[k];
        }
    }
    return made;
}

double photocurrent_ratio(const MadePart& receiver, const Beam& beam, double transfer,
                          double emitter_current, double collector_emitter) {
    const SecondTransistor law = second_transistor(receiver, "", reference_kelvin, true);
    const double wanted = transfer * emitter_current;
    const double inside = collector_emitter - wanted * law.resistance;
    // The base is open: what light brings is what leaves through its junctions. All of that and
    // the carried current leave at the emitter.
    double low = 0, high = 1.2;
    for (int round = 0; round < 200; ++round) {
        const double be = (low + high) / 2;
        const auto now = law.at(be, be - inside);
        (now.collector + now.base < wanted ? low : high) = be;
    }
    const double lit = law.at(low, low - inside).base - beam.dark_current;
    const double shape = emitter_current * emitter_current / (emitter_current + beam.low_knee) /
                         (1 + emitter_current / beam.high_knee);
    return std::max(lit, 0.0) / shape;
}

double Beam::thrown(double amperes, double kelvin, double around) const {
    const double current = std::max(amperes, 0.0);
    const double warmer = kelvin - reference_kelvin;
    const double dark = dark_current * std::exp2(warmer / 10);
    const double fading = std::max(0.0, 1 + temperature_coefficient * warmer) * brightness;
    if (coupler) {
        return ratio * current * (current / (current + low_knee)) / (1 + current / high_knee) *
                   fading +
               dark;
    }
    const double order = -std::log(2.0) / std::log(std::cos(half_angle));
    const double field = intensity * current * fading *
                         std::pow(std::max(std::cos(angle), 1e-6), order) / (distance * distance);
    const double lux = (1 - shroud) * around + stray;
    if (conducts()) {
        return std::pow((field + lux) / resistance_at, gamma) / resistance + 1 / dark_resistance;
    }
    return field * sensitivity + lux * ambient_sensitivity + dark;
}

}  // namespace gapwright::reference
