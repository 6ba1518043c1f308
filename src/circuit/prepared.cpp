#include "circuit/prepared.hpp"

#include "circuit/element_laws.hpp"

namespace gapwright::prepared {
namespace {

// Reads a specimen's figures and builds each element's law at the temperature.
class Preparer {
  public:
    Preparer(std::span<const double> values, const Conditions& conditions, const GapLight& light)
        : value_{values}, temperature_(conditions.temperature), light_(light) {}

    Element operator()(const Branch& e) const {
        return Source{e.from, e.to, e.voltage ? value_(*e.voltage) : 0.0,
                      e.resistance ? value_(*e.resistance) : 0.0};
    }
    Element operator()(const JunctionElement& e) const {
        return Diode{e.from, e.to, law_at(e, value_, temperature_)};
    }
    Element operator()(const BreakdownElement& e) const {
        return Breakdown{e.from, e.to, law_at(e, value_, temperature_)};
    }
    Element operator()(const TransistorElement& e) const {
        return Bipolar{.collector = e.pnp ? e.to : e.from,
                       .emitter = e.pnp ? e.from : e.to,
                       .base = e.base,
                       .polarity = e.pnp ? -1.0 : 1.0,
                       .law = law_at(e, value_, temperature_),
                       .photocurrent = e.lit_by ? light_[to_index(*e.lit_by)] : 0.0};
    }
    Element operator()(const MosfetElement& e) const {
        return FieldEffect{.drain = e.p_channel ? e.to : e.from,
                           .source = e.p_channel ? e.from : e.to,
                           .gate = e.gate,
                           .polarity = e.p_channel ? -1.0 : 1.0,
                           .law = law_at(e, value_, temperature_)};
    }
    Element operator()(const LeakageElement& e) const {
        return Leak{e.from, e.to, value_(e.current)};
    }
    Element operator()(const LightResistorElement& e) const {
        return Source{e.from, e.to, 0.0, resistance_at(e, value_, light_[to_index(e.lit_by)])};
    }

  private:
    struct Values {
        std::span<const double> by_slot;
        double operator()(Slot slot) const { return by_slot[to_index(slot)]; }
    };

    Values value_;
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
