#include "waveform/equations.hpp"

#include <algorithm>
#include <cmath>

#include "circuit/gap_laws.hpp"
#include "device/dual.hpp"

namespace gapwright::waveforms {
namespace {

using Dual1 = Dual<double, 1>;
using Dual2 = Dual<double, 2>;

constexpr double rest_share = 1e-4;  // of a side's voltage: so near, a node rests

// A figure that may be absent.
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

// One quantity that is stored between two nodes: its law's value and slopes to the voltages that
// control it, and the nodes of those.
struct Stored {
    Node from = Node::side_return;
    Node to = Node::side_return;
    double sign = 1;
    double charge = 0;
    std::array<double, 2> slopes{};
    std::array<std::pair<Node, Node>, 2> control{};
};

// The quantities of a capacitance, junction or transistor, linearised about its control voltages.
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

Equations::Equations(const Circuit& circuit, std::span<const double> values,
                     const Conditions& conditions, const Schedule& schedule,
                     const std::vector<StatePoint>& rest)
    : circuit_(circuit),
      values_(values),
      conditions_(conditions),
      schedule_(schedule),
      movers_(movers_of(circuit, values, conditions, schedule)),
      pieces_(movers_.size()),
      breaks_(breaks_of(movers_, schedule)),
      light_(circuit.gaps.size(), 0.0),
      light_slope_(circuit.gaps.size(), 0.0) {
    const ConditionsOf<double> around{conditions.temperature, conditions.light, conditions.time_on};
    const auto value = [&](Slot slot) { return values[to_index(slot)]; };
    for (const Gap& gap : circuit.gaps) {
        double ageing = 0;
        for (const auto& state : rest) {
            ageing = std::max(ageing, state.input.currents[to_index(gap.emitter)]);
        }
        life_.push_back(life_at(gap, value, around, ageing));
    }
    const auto& networks = circuit.states[to_index(schedule.from)];
    prepare_side(Side::input, networks.input);
    prepare_side(Side::output, networks.output);
    inputs_ = input_.count;
    outputs_ = output_.count;
    output_.first = inputs_;
    size_ = inputs_ + outputs_;
    for (SideEquations* side : {&input_, &output_}) {
        side->first_store = size_;
        for (const auto& store : side->stores) size_ += static_cast<Index>(store.quantities);
    }
    first_cell_ = size_;
    size_ += static_cast<Index>(cells_.size());
    measure_sizes(rest);
    enter(0, breaks_.size() > 1 ? breaks_[1] : 1);
}

void Equations::prepare_side(Side which, const Network& network) {
    SideEquations& s = side(which);
    s.network = &network;
    s.elements =
        prepared::prepare(network, values_, conditions_, GapLight(circuit_.gaps.size(), 1.0));
    s.count = static_cast<Index>(prepared::unknown_count(network));
    Index row = static_cast<Index>(network.nodes) - 1;
    for (const auto& element : s.elements) {
        const bool source = std::holds_alternative<prepared::Source>(element);
        s.source_rows.push_back(source ? row++ : -1);
    }
    for (const auto& store : circuit_.dynamics(which).stores) {
        s.stores.push_back(prepared_store(store, values_));
    }
    // The base of a dark receiver takes seconds to come to rest, and nobody sees it.
    std::vector<bool> base(network.nodes, false);
    for (const auto& element : network.elements) {
        if (const auto* t = std::get_if<TransistorElement>(&element))
            base[to_index(t->base)] = true;
    }
    for (std::size_t n = 1; n < network.nodes; ++n) {
        if (!base[n]) s.watched_nodes.push_back(static_cast<Index>(n) - 1);
    }
    const auto value = [&](Slot slot) { return values_[to_index(slot)]; };
    for (std::size_t k = 0; k < network.elements.size(); ++k) {
        const auto* cell = std::get_if<LightResistorElement>(&network.elements[k]);
        if (!cell || !cell->response.rise_time) continue;
        cells_.push_back({k,
                          to_index(cell->lit_by),
                          {value(cell->card.resistance), value(cell->card.illuminance),
                           value(cell->card.gamma), value(cell->card.dark_resistance)},
                          {value(*cell->response.rise_time), value(*cell->response.decay_time)}});
    }
}

// Voltages against a tenth of a volt, or the side's own where that is less: a junction's current
// follows its voltage exponentially, so that a share of the supply would be too coarse.
void Equations::measure_sizes(const std::vector<StatePoint>& rest) {
    sizes_ = VectorXd::Constant(size_, 1.0);
    for (const Side which : {Side::input, Side::output}) {
        SideEquations& s = side(which);
        double voltage = 1e-3;
        double current = 1e-6;
        const auto nodes = static_cast<Index>(s.network->nodes) - 1;
        for (const auto& state : rest) {
            const auto& x = state.side(which).unknowns;
            for (Index k = 0; k < s.count; ++k) {
                double& largest = k < nodes ? voltage : current;
                largest = std::max(largest, std::abs(x[static_cast<std::size_t>(k)]));
            }
        }
        s.voltage = voltage;
        for (Index k = 0; k < s.count; ++k) {
            sizes_[s.first + k] = k < nodes ? std::min(voltage, 0.1) : 100 * current;
        }
        Index q = s.first_store;
        for (const auto& store : s.stores) {
            if (std::holds_alternative<InductanceStore>(store.store)) {
                sizes_[q++] = store.capacitance * current;
            } else if (std::holds_alternative<TransistorStore>(store.store)) {
                const auto& t = store.transistor;
                const double both = t.base_emitter_capacitance + t.base_collector_capacitance;
                sizes_[q++] = 0.1 * both + t.transit_time * current;
                sizes_[q++] = 0.1 * both + t.reverse_transit_time * current;
            } else {
                sizes_[q++] = (store.capacitance + store.junction.capacitance) * 0.1 +
                              store.junction.transit_time * current;
            }
        }
    }
    // A charge that a transistor states one part of: its other has no size of its own.
    constexpr double least_size = 1e-15;
    sizes_ = sizes_.cwiseMax(least_size);
    for (std::size_t c = 0; c < cells_.size(); ++c) {
        // the least that matters beside the dark resistance
        sizes_[first_cell_ + static_cast<Index>(c)] =
            1 / cells_[c].card.dark_resistance + 1e-4 / cells_[c].card.resistance;
    }
}

bool Equations::current(Index k) const {
    if (k >= inputs_ + outputs_) return false;
    const bool in = k < inputs_;
    const auto nodes = static_cast<Index>((in ? input_ : output_).network->nodes) - 1;
    return (in ? k : k - inputs_) >= nodes;
}

bool Equations::rests(const VectorXd& y, const StatePoint& goal) const {
    for (const Side which : {Side::input, Side::output}) {
        const SideEquations& s = which == Side::input ? input_ : output_;
        const auto& x = goal.side(which).unknowns;
        for (const Index k : s.watched_nodes) {
            const double off = std::abs(y[s.first + k] - x[static_cast<std::size_t>(k)]);
            if (!(off <= rest_share * s.voltage)) return false;
        }
    }
    return true;
}

VectorXd Equations::at_rest(const StatePoint& point) const {
    VectorXd y = VectorXd::Zero(size_);
    y.head(inputs_) = VectorXd::Map(point.input.unknowns.data(), inputs_);
    y.segment(inputs_, outputs_) = VectorXd::Map(point.output.unknowns.data(), outputs_);
    store_by_law(y);
    for (std::size_t c = 0; c < cells_.size(); ++c) {
        y[first_cell_ + static_cast<Index>(c)] =
            lit_conductance(cells_[c].card, point.light[cells_[c].gap]);
    }
    return y;
}

void Equations::store_by_law(VectorXd& y) const {
    for (const SideEquations* s : {&input_, &output_}) {
        const VectorXd x = y.segment(s->first, s->count);
        const auto control = prepared::controls_at(s->elements, x);
        const auto at = [&](Node n) {
            return n == Node::side_return ? 0.0 : x[static_cast<Index>(to_index(n)) - 1];
        };
        Index q = s->first_store;
        for (const auto& store : s->stores) {
            if (const auto* l = std::get_if<InductanceStore>(&store.store)) {
                y[q++] = store.capacitance * x[s->source_rows[to_index(l->branch)]];
                continue;
            }
            const StoredBy by{store, s->elements, control};
            for (const auto& stored :
                 std::visit([&](const auto& kind) { return by(kind, at); }, store.store)) {
                y[q++] = stored.charge;
            }
        }
    }
}

void Equations::enter(double from, double to) {
    const double middle = 0.5 * (from + to);
    for (std::size_t m = 0; m < movers_.size(); ++m) {
        pieces_[m] = &movers_[m].piece_at(middle);
        auto& elements = side(movers_[m].side).elements;
        elements[to_index(movers_[m].element)] = pieces_[m]->at(from);
    }
    surge_ = 0;
    for (const auto& surge : schedule_.surges) {
        if (surge.at < middle && middle < surge.at + surge.length) surge_ += surge.slope;
    }
}

void Equations::update_movers(double time) {
    for (std::size_t m = 0; m < movers_.size(); ++m) {
        if (!pieces_[m]->moving) continue;
        side(movers_[m].side).elements[to_index(movers_[m].element)] = pieces_[m]->at(time);
    }
}

void Equations::update_light(const VectorXd& y) {
    const auto at = [&](Node n) {
        return n == Node::side_return ? 0.0 : y[static_cast<Index>(to_index(n)) - 1];
    };
    const auto value = [&](Slot slot) { return Dual1(values_[to_index(slot)]); };
    const ConditionsOf<Dual1> around{conditions_.temperature, conditions_.light,
                                     conditions_.time_on};
    for (std::size_t g = 0; g < light_.size(); ++g) {
        const auto& gap = circuit_.gaps[g];
        const auto& diode = std::get<prepared::Diode>(input_.elements[to_index(gap.emitter)]);
        const Dual1 current =
            junction_current(diode.law, Dual1::variable(at(diode.from) - at(diode.to), 0));
        const Dual1 light = light_of_life(gap, value, around, current, Dual1(life_[g]));
        light_[g] = light.value;
        light_slope_[g] = light.slope[0];
    }
    for (std::size_t k = 0; k < output_.network->elements.size(); ++k) {
        const auto& element = output_.network->elements[k];
        if (const auto* t = std::get_if<TransistorElement>(&element); t && t->lit_by) {
            std::get<prepared::Bipolar>(output_.elements[k]).photocurrent =
                light_[to_index(*t->lit_by)];
        } else if (const auto* r = std::get_if<LightResistorElement>(&element)) {
            const auto plain = [&](Slot slot) { return values_[to_index(slot)]; };
            std::get<prepared::Source>(output_.elements[k]).resistance =
                resistance_at(*r, plain, light_[to_index(r->lit_by)]);
        }
    }
    for (std::size_t c = 0; c < cells_.size(); ++c) {
        const double lit = y[first_cell_ + static_cast<Index>(c)];
        std::get<prepared::Source>(output_.elements[cells_[c].element]).resistance =
            1 / (lit + 1 / cells_[c].card.dark_resistance);
    }
}

Equations::Limited Equations::controls(const VectorXd& y) const {
    return {prepared::controls_at(input_.elements, y.head(inputs_)),
            prepared::controls_at(output_.elements, y.segment(inputs_, outputs_))};
}

bool Equations::limit(const VectorXd& y, Limited& last) const {
    const bool in = prepared::limit_controls(input_.elements, y.head(inputs_), last.input);
    const bool out =
        prepared::limit_controls(output_.elements, y.segment(inputs_, outputs_), last.output);
    return in || out;
}

void Equations::evaluate(double time, const VectorXd& y, const VectorXd& slope, double cj,
                         VectorXd& residual, MatrixXd* jacobian, const Limited* limited) {
    update_movers(time);
    update_light(y);
    residual.setZero(size_);
    if (jacobian) jacobian->setZero(size_, size_);
    add_side(input_, y, slope, cj, residual, jacobian, limited ? &limited->input : nullptr);
    add_side(output_, y, slope, cj, residual, jacobian, limited ? &limited->output : nullptr);
    if (jacobian) add_light_slopes(y, *jacobian);
    add_cells(y, slope, cj, residual, jacobian);
    if (surge_ != 0) add_surges(residual);
}

void Equations::add_side(SideEquations& s, const VectorXd& y, const VectorXd& slope, double cj,
                         VectorXd& residual, MatrixXd* jacobian,
                         const prepared::ControlVoltages* limited) {
    const VectorXd x = y.segment(s.first, s.count);
    const auto own = limited ? prepared::ControlVoltages{} : prepared::controls_at(s.elements, x);
    const prepared::ControlVoltages& control = limited ? *limited : own;
    prepared::assemble(s.elements, s.network->nodes, x, control, {}, s.system);
    residual.segment(s.first, s.count) += s.system.residual;
    if (jacobian) jacobian->block(s.first, s.first, s.count, s.count) += s.system.jacobian;

    const auto at = [&](Node n) {
        return n == Node::side_return ? 0.0 : x[static_cast<Index>(to_index(n)) - 1];
    };
    const auto row = [&](Node n) { return s.first + static_cast<Index>(to_index(n)) - 1; };
    const auto flow = [&](Node n, Index q, double sign) {
        if (n == Node::side_return) return;
        residual[row(n)] += sign * slope[q];
        if (jacobian) (*jacobian)(row(n), q) += sign * cj;
    };
    Index q = s.first_store;
    for (const auto& store : s.stores) {
        if (const auto* l = std::get_if<InductanceStore>(&store.store)) {
            const Index branch = s.first + s.source_rows[to_index(l->branch)];
            residual[branch] -= slope[q];
            residual[q] = y[q] - store.capacitance * y[branch];
            if (jacobian) {
                (*jacobian)(branch, q) -= cj;
                (*jacobian)(q, q) = 1;
                (*jacobian)(q, branch) -= store.capacitance;
            }
            ++q;
            continue;
        }
        const StoredBy by{store, s.elements, control};
        for (const auto& stored :
             std::visit([&](const auto& kind) { return by(kind, at); }, store.store)) {
            flow(stored.from, q, stored.sign);
            flow(stored.to, q, -stored.sign);
            residual[q] = y[q] - stored.charge;
            if (jacobian) {
                (*jacobian)(q, q) = 1;
                for (std::size_t c = 0; c < 2; ++c) {
                    const auto [plus, minus] = stored.control[c];
                    if (plus != Node::side_return) (*jacobian)(q, row(plus)) -= stored.slopes[c];
                    if (minus != Node::side_return) (*jacobian)(q, row(minus)) += stored.slopes[c];
                }
            }
            ++q;
        }
    }
}

// What the output side's equations change by with the emitters' junction voltages.
void Equations::add_light_slopes(const VectorXd& y, MatrixXd& jacobian) const {
    const auto add = [&](Index equation, std::size_t gap, double slope) {
        const auto& emitter = circuit_.gaps[gap].emitter;
        const auto& diode = std::get<prepared::Diode>(input_.elements[to_index(emitter)]);
        const double g = slope * light_slope_[gap];
        const auto column = [](Node n) { return static_cast<Index>(to_index(n)) - 1; };
        if (diode.from != Node::side_return) jacobian(equation, column(diode.from)) += g;
        if (diode.to != Node::side_return) jacobian(equation, column(diode.to)) -= g;
    };
    const auto row = [&](Node n) { return output_.first + static_cast<Index>(to_index(n)) - 1; };
    for (std::size_t k = 0; k < output_.network->elements.size(); ++k) {
        const auto& element = output_.network->elements[k];
        if (const auto* t = std::get_if<TransistorElement>(&element); t && t->lit_by) {
            const auto& e = std::get<prepared::Bipolar>(output_.elements[k]);
            const std::size_t gap = to_index(*t->lit_by);
            if (e.collector != Node::side_return) add(row(e.collector), gap, e.polarity);
            if (e.base != Node::side_return) add(row(e.base), gap, -e.polarity);
        } else if (const auto* r = std::get_if<LightResistorElement>(&element)) {
            const bool slow = std::ranges::any_of(
                cells_, [&](const SlowCell& cell) { return cell.element == k; });
            if (slow) continue;
            const auto value = [&](Slot slot) { return Dual1(values_[to_index(slot)]); };
            const std::size_t gap = to_index(r->lit_by);
            const Dual1 ohms = resistance_at(*r, value, Dual1::variable(light_[gap], 0));
            const Index branch = output_.first + output_.source_rows[k];
            add(branch, gap, -ohms.slope[0] * y[branch]);
        }
    }
    for (std::size_t c = 0; c < cells_.size(); ++c) {
        const SlowCell& cell = cells_[c];
        const Index q = first_cell_ + static_cast<Index>(c);
        const Index branch = output_.first + output_.source_rows[cell.element];
        const double ohms = 1 / (y[q] + 1 / cell.card.dark_resistance);
        jacobian(branch, q) += ohms * ohms * y[branch];
        // d rate/d light: only the rate's own part of it; see add_cells.
        const LightResistor<Dual1> card{cell.card.resistance, cell.card.illuminance,
                                        cell.card.gamma, cell.card.dark_resistance};
        const LightResponse<Dual1> response{cell.response.rise_time, cell.response.decay_time};
        const Dual1 wanted = lit_conductance(card, Dual1::variable(light_[cell.gap], 0));
        const Dual1 rate = lit_conductance_rate(card, response, wanted, Dual1(y[q]));
        add(q, cell.gap, -rate.slope[0]);
    }
}

void Equations::add_cells(const VectorXd& y, const VectorXd& slope, double cj, VectorXd& residual,
                          MatrixXd* jacobian) {
    for (std::size_t c = 0; c < cells_.size(); ++c) {
        const SlowCell& cell = cells_[c];
        const Index q = first_cell_ + static_cast<Index>(c);
        const LightResistor<Dual1> card{cell.card.resistance, cell.card.illuminance,
                                        cell.card.gamma, cell.card.dark_resistance};
        const LightResponse<Dual1> response{cell.response.rise_time, cell.response.decay_time};
        const Dual1 wanted(lit_conductance(cell.card, light_[cell.gap]));
        const Dual1 rate = lit_conductance_rate(card, response, wanted, Dual1::variable(y[q], 0));
        residual[q] = slope[q] - rate.value;
        if (jacobian) (*jacobian)(q, q) += cj - rate.slope[0];
    }
}

// I = C·dv/dt leaves the emitter's cathode and arrives at the receiver.
void Equations::add_surges(VectorXd& residual) const {
    const auto arrive = [&](const SideEquations& s, Node n, double current) {
        if (n != Node::side_return) {
            residual[s.first + static_cast<Index>(to_index(n)) - 1] -= current;
        }
    };
    for (std::size_t g = 0; g < circuit_.gaps.size(); ++g) {
        const Gap& gap = circuit_.gaps[g];
        const double current = figure(values_, gap.capacitance) * surge_;
        const double share = figure(values_, gap.base_share);
        const auto& diode = std::get<prepared::Diode>(input_.elements[to_index(gap.emitter)]);
        arrive(input_, diode.to, -current);
        for (std::size_t k = 0; k < output_.network->elements.size(); ++k) {
            const auto& element = output_.network->elements[k];
            if (const auto* t = std::get_if<TransistorElement>(&element);
                t && t->lit_by && to_index(*t->lit_by) == g) {
                const auto& e = std::get<prepared::Bipolar>(output_.elements[k]);
                arrive(output_, e.base, share * current);
                arrive(output_, e.collector, (1 - share) * current);
            } else if (const auto* r = std::get_if<LightResistorElement>(&element);
                       r && to_index(r->lit_by) == g) {
                arrive(output_, r->from, current);
            }
        }
    }
}

StatePoint Equations::point(double time, const VectorXd& y) {
    update_movers(time);
    update_light(y);
    StatePoint result;
    for (const Side which : {Side::input, Side::output}) {
        const SideEquations& s = which == Side::input ? input_ : output_;
        const VectorXd x = y.segment(s.first, s.count);
        const auto currents = prepared::element_currents(s.elements, s.network->nodes, x);
        SidePoint& point = which == Side::input ? result.input : result.output;
        point.unknowns.assign(x.begin(), x.end());
        point.currents = currents.main;
        point.base_currents = currents.base;
    }
    result.light = light_;
    return result;
}

}  // namespace gapwright::waveforms
