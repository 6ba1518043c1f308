#include "waveform/stored.hpp"
#include <optional>
#include <span>
#include <variant>
#include <vector>

#include "circuit/assembly.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/prepared.hpp"
#include "device/charge.hpp"
#include "device/dual.hpp"

namespace gapwright::waveforms {
namespace {

using Dual1 = Dual<double, 1>;
using Dual2 = Dual<double, 2>;

struct StoredBy {
    const PreparedStore& store;
    const std::vector<prepared::Element>& elements;
    const prepared::ControlVoltages& control;

    std::vector<Stored> operator()(const CapacitanceStore& c, const auto& at) const {
        return {{.from = c.from,
                 .to = c.to,
                 .charge = store.capacitance * (at(c.from) - at(c.to)),
                 .slopes = {store.capacitance, 0},
                 .control = {{{c.from, c.to}, {c.from, c.to}}}}};
    }
    std::vector<Stored> operator()(const JunctionStore& j, const auto& at) const {
        const auto k = to_index(j.junction);
        const auto& diode = std::get<prepared::Diode>(elements[k]);
        const Dual1 charge =
            junction_charge(store.junction, diode.law, Dual1::variable(control[k][0], 0));
        const double shift = at(diode.from) - at(diode.to) - control[k][0];
        return {{.from = diode.from,
                 .to = diode.to,
                 .charge = charge.value + charge.slope[0] * shift,
                 .slopes = {charge.slope[0], 0},
                 .control = {{{diode.from, diode.to}, {diode.from, diode.to}}}}};
    }
    std::vector<Stored> operator()(const TransistorStore& t, const auto& at) const {
        const auto k = to_index(t.transistor);
        const auto& e = std::get<prepared::Bipolar>(elements[k]);
        const auto charges =
            transistor_charges(store.transistor, e.law, Dual2::variable(control[k][0], 0),
                               Dual2::variable(control[k][1], 1));
        const double shift0 = e.polarity * (at(e.base) - at(e.emitter)) - control[k][0];
        const double shift1 = e.polarity * (at(e.base) - at(e.collector)) - control[k][1];
        const auto stored = [&](Node to, const Dual2& charge) {
            return Stored{
                .from = e.base,
                .to = to,
                .sign = e.polarity,
                .charge = charge.value + charge.slope[0] * shift0 + charge.slope[1] * shift1,
                .slopes = {e.polarity * charge.slope[0], e.polarity * charge.slope[1]},
                .control = {{{e.base, e.emitter}, {e.base, e.collector}}}};
        };
        return {stored(e.emitter, charges.base_emitter),
                stored(e.collector, charges.base_collector)};
    }
    std::vector<Stored> operator()(const InductanceStore&, const auto&) const { return {}; }
};

}  // namespace

double figure(std::span<const double> values, const std::optional<Slot>& slot) {
    return slot ? values[to_index(*slot)] : 0.0;
}

PreparedStore prepared_store(const Store& store, std::span<const double> values) {
    PreparedStore result{.store = store};
    if (const auto* c = std::get_if<CapacitanceStore>(&store)) {
        result.capacitance = values[to_index(c->capacitance)];
    } else if (const auto* l = std::get_if<InductanceStore>(&store)) {
        result.capacitance = values[to_index(l->inductance)];
    } else if (const auto* j = std::get_if<JunctionStore>(&store)) {
        result.junction = {figure(values, j->charge.capacitance),
                           figure(values, j->charge.transit_time)};
    } else {
        const auto& charge = std::get<TransistorStore>(store).charge;
        result.transistor = {figure(values, charge.base_emitter_capacitance),
                             figure(values, charge.base_collector_capacitance),
                             figure(values, charge.transit_time),
                             figure(values, charge.reverse_transit_time)};
        result.quantities = 2;
    }
    return result;
}

std::vector<Stored> stored_quantities(const PreparedStore& store,
                                      const std::vector<prepared::Element>& elements,
                                      const prepared::ControlVoltages& control,
                                      const Eigen::VectorXd& x) {
    const auto at = [&](Node n) {
        return n == Node::side_return ? 0.0 : x[static_cast<Eigen::Index>(to_index(n)) - 1];
    };
    const StoredBy by{store, elements, control};
    return std::visit([&](const auto& kind) { return by(kind, at); }, store.store);
}

}  // namespace gapwright::waveforms
