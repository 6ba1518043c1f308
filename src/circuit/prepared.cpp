#include "circuit/prepared.hpp"

#include "device/constants.hpp"

namespace gapwright::prepared {
namespace {

// Reads a specimen's figures and builds each element's law at the temperature.
class Preparer {
  public:
    Preparer(std::span<const double> values, const Conditions& conditions, const GapLight& light)
        : values_(values), temperature_(conditions.temperature), light_(light) {}

    Element operator()(const Branch& e) const {
        return Source{e.from, e.to, e.voltage ? value(*e.voltage) : 0.0,
                      e.resistance ? value(*e.resistance) : 0.0};
    }
    Element operator()(const JunctionElement& e) const {
        Junction<double> card{.saturation_current = value(e.card.saturation_current),
                              .ideality = value(e.card.ideality),
                              .series_resistance = value(e.card.series_resistance),
                              .bandgap = value(e.card.bandgap),
                              .temperature_exponent = value(e.card.temperature_exponent)};
        if (e.forward_voltage) {
            card.saturation_current =
                saturation_current_through(value(*e.forward_voltage), value(*e.forward_current),
                                           card.ideality, card.series_resistance);
        }
        return Diode{e.from, e.to, junction_at(card, temperature_)};
    }
    Element operator()(const BreakdownElement& e) const {
        const double current = value(e.current);
        return Breakdown{e.from,
                         e.to,
                         {.knee_voltage = value(e.voltage) - current * value(e.resistance),
                          .knee_current = current,
                          .slope_voltage = value(e.ideality) * thermal_voltage(temperature_)}};
    }
    Element operator()(const TransistorElement& e) const {
        const Transistor<double> card{.transport_current = value(e.card.transport_current),
                                      .gain = value(e.gain ? *e.gain : e.card.gain),
                                      .reverse_gain = value(e.card.reverse_gain),
                                      .early_voltage = value(e.card.early_voltage),
                                      .knee_current = value(e.card.knee_current),
                                      .leak_current = value(e.card.leak_current),
                                      .leak_ideality = value(e.card.leak_ideality),
                                      .collector_resistance = value(e.card.collector_resistance),
                                      .gain_exponent = value(e.card.gain_exponent)};
        return Bipolar{.collector = e.pnp ? e.to : e.from,
                       .emitter = e.pnp ? e.from : e.to,
                       .base = e.base,
                       .polarity = e.pnp ? -1.0 : 1.0,
                       .law = transistor_at(card, temperature_),
                       .photocurrent = e.lit_by ? light_[to_index(*e.lit_by)] : 0.0};
    }
    Element operator()(const MosfetElement& e) const {
        return FieldEffect{.drain = e.p_channel ? e.to : e.from,
                           .source = e.p_channel ? e.from : e.to,
                           .gate = e.gate,
                           .polarity = e.p_channel ? -1.0 : 1.0,
                           .law = {{.threshold = value(e.card.threshold),
                                    .transconductance = value(e.card.transconductance),
                                    .slope_factor = value(e.card.slope_factor),
                                    .channel_modulation = value(e.card.channel_modulation)},
                                   thermal_voltage(temperature_)}};
    }
    Element operator()(const LeakageElement& e) const {
        return Leak{e.from, e.to, value(e.current)};
    }
    Element operator()(const LightResistorElement& e) const {
        const LightResistor<double> card{.resistance = value(e.card.resistance),
                                         .illuminance = value(e.card.illuminance),
                                         .gamma = value(e.card.gamma),
                                         .dark_resistance = value(e.card.dark_resistance)};
        const double conductance = light_conductance(card, light_[to_index(e.lit_by)]);
        return Source{e.from, e.to, 0.0, 1.0 / conductance};
    }

  private:
    double value(Slot slot) const { return values_[to_index(slot)]; }

    std::span<const double> values_;
    double temperature_;
    const GapLight& light_;
};

}  // namespace

std::vector<Element> prepare(const Network& network, std::span<const double> values,
                             const Conditions& conditions, const GapLight& light) {
    const Preparer preparer(values, conditions, light);
    std::vector<Element> result;
    result.reserve(network.elements.size());
    for (const auto& element : network.elements) result.push_back(std::visit(preparer, element));
    return result;
}

}  // namespace gapwright::prepared
