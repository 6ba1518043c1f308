#include "waveform/equations.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>
#include <variant>

#include "circuit/assembly.hpp"
#include "circuit/element_laws.hpp"
#include "circuit/gap_laws.hpp"
#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/prepared.hpp"
#include "device/dual.hpp"
#include "device/figures.hpp"
#include "device/junction.hpp"
#include "device/light.hpp"
#include "waveform/stored.hpp"

namespace gapwright::waveforms {
namespace {

using Dual1 = Dual<double, 1>;

constexpr double rest_share = 1e-4;  // of a side's voltage: so near, a node rests
// Of a light-dependent resistor's conductance: decay goes on for ever.
constexpr double cell_rest_share = 1e-3;

}  // namespace

bool Equations::current(Index k) const {
    if (k >= inputs_ + outputs_) return false;
    const bool in = k < inputs_;
    const auto nodes = static_cast<Index>((in ? input_ : output_).network->nodes) - 1;
    return (in ? k : k - inputs_) >= nodes;
}

std::optional<std::pair<Side, Node>> Equations::node(Index k) const {
    if (k >= inputs_ + outputs_ || current(k)) return std::nullopt;
    const bool in = k < inputs_;
    return std::pair(in ? Side::input : Side::output,
                     static_cast<Node>((in ? k : k - inputs_) + 1));
}

Index Equations::branch_row(Side which, ElementIndex branch) const {
    const SideEquations& s = which == Side::input ? input_ : output_;
    return s.first + s.source_rows[to_index(branch)];
}

bool Equations::rests(const VectorXd& y, const StatePoint& goal) const {
    for (const Side which : {Side::input, Side::output}) {
        const SideEquations& s = which == Side::input ? input_ : output_;
        const auto& x = goal.side(which).unknowns;
        for (const Index k : s.watched_nodes) {
            const double off = std::abs(y[s.first + k] - x[static_cast<std::size_t>(k)]);
            if (!(off <= rest_share * s.voltage)) return false;
        }
        for (const auto& [k, size] : s.watched_currents) {
            const double off = std::abs(y[s.first + k] - x[static_cast<std::size_t>(k)]);
            if (!(off <= rest_share * size)) return false;
        }
    }
    for (std::size_t c = 0; c < cells_.size(); ++c) {
        const double wanted = lit_conductance(cells_[c].card, goal.light[cells_[c].gap]);
        const double off = std::abs(y[first_cell_ + static_cast<Index>(c)] - wanted);
        if (!(off <= cell_rest_share * cells_[c].largest)) return false;
    }
    return true;
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
    const ConditionsOf<Dual1> around{conditions_.temperature, conditions_.light, conditions_.age};
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
        if (const auto* p = std::get_if<PhotocurrentElement>(&element)) {
            std::get<prepared::Photocurrent>(output_.elements[k]).current =
                light_[to_index(p->lit_by)];
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
            residual[q] = y[q] + store.loss_time * slope[q] - store.capacitance * y[branch];
            if (jacobian) {
                (*jacobian)(branch, q) -= cj;
                (*jacobian)(q, q) = 1 + store.loss_time * cj;
                (*jacobian)(q, branch) -= store.capacitance;
            }
            ++q;
            continue;
        }
        for (const auto& stored : stored_quantities(store, s.elements, control, x)) {
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
        if (const auto* p = std::get_if<PhotocurrentElement>(&element)) {
            const std::size_t gap = to_index(p->lit_by);
            if (p->from != Node::side_return) add(row(p->from), gap, 1);
            if (p->to != Node::side_return) add(row(p->to), gap, -1);
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
        for (const auto& element : output_.network->elements) {
            if (const auto* p = std::get_if<PhotocurrentElement>(&element);
                p && to_index(p->lit_by) == g) {
                arrive(output_, p->to, share * current);
                arrive(output_, p->from, (1 - share) * current);
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
