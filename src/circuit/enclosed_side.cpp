#include "circuit/enclosed_side.hpp"

#include <array>
#include <cstddef>
#include <cstdlib>
#include <span>
#include <utility>
#include <variant>
#include <vector>

#include "circuit/affine.hpp"
#include "circuit/enclosed_laws.hpp"
#include "circuit/index.hpp"
#include "circuit/mean_value.hpp"
#include "circuit/network.hpp"
#include "circuit/operating_point.hpp"
#include "circuit/prepared.hpp"
#include "circuit/ranged.hpp"
#include "circuit/rounding_share.hpp"
#include "circuit/terminals.hpp"
#include "device/interval.hpp"

namespace gapwright {
namespace {

using prepared::Tangent;
using prepared::TangentOver;

// Control voltages and currents of their own of each kind of device.
struct Counts {
    std::size_t controls = 1;
    std::size_t flows = 1;
};

Counts counts(const prepared::ElementOf<Interval>& law) {
    if (std::holds_alternative<prepared::BipolarOf<Interval>>(law)) return {2, 2};
    if (std::holds_alternative<prepared::FieldEffectOf<Interval>>(law)) return {2, 1};
    if (std::holds_alternative<prepared::PhotocurrentOf<Interval>>(law)) return {0, 1};
    return {};
}

constexpr double least_defect = 1e-140;  // what underflow may hide

}  // namespace

EnclosedSide::EnclosedSide(const Network& network,
                           const std::vector<prepared::ElementOf<Interval>>& laws,
                           std::span<const Affine> light, const SidePoint& middle,
                           const Ranged& ranged)
    : middle_(middle),
      ranged_(ranged),
      unknowns_(static_cast<Eigen::Index>(middle.unknowns.size())),
      causes_(ranged.causes) {
    collect(network, laws, light);
    assemble();
    respond();
}

void EnclosedSide::collect(const Network& network,
                           const std::vector<prepared::ElementOf<Interval>>& laws,
                           std::span<const Affine> light) {
    for (std::size_t k = 0; k < laws.size(); ++k) {
        if (const auto* source = std::get_if<prepared::SourceOf<Interval>>(&laws[k])) {
            places_.emplace_back(true, rows_.size());
            add_row(network.elements[k], *source, light);
        } else {
            places_.emplace_back(false, devices_.size());
            add_device(network.elements[k], laws[k], light);
        }
    }
    const auto first_branch = unknowns_ - static_cast<Eigen::Index>(rows_.size());
    for (std::size_t k = 0; k < rows_.size(); ++k) {
        rows_[k].unknown = first_branch + static_cast<Eigen::Index>(k);
    }
}

void EnclosedSide::add_row(const Element& element, const prepared::SourceOf<Interval>& source,
                           std::span<const Affine> light) {
    Row added{.from = source.from,
              .to = source.to,
              .unknown = 0,
              .voltage = {},
              .resistance = {},
              .cause = {}};
    if (const auto* branch = std::get_if<Branch>(&element)) {
        if (branch->voltage) added.voltage = ranged_.figure(*branch->voltage);
        if (branch->resistance) added.resistance = ranged_.figure(*branch->resistance);
    } else if (const auto* resistor = std::get_if<LightResistorElement>(&element)) {
        added.resistance = lit_resistance(*resistor, ranged_, light[to_index(resistor->lit_by)]);
    }
    const Affine& r = added.resistance;
    if (!r.slope.empty() || !r.rest.nothing()) {
        added.cause = causes_.size();
        causes_.emplace_back();
    }
    rows_.push_back(std::move(added));
}

void EnclosedSide::add_device(const Element& element, const prepared::ElementOf<Interval>& law,
                              std::span<const Affine> light) {
    const auto [controls, flows] = counts(law);
    Device d{.law = &law,
             .terminals = std::visit(prepared::TerminalsOf{}, law),
             .at = {},
             .first_control = controls_,
             .controls = controls,
             .flows = {},
             .flow_count = flows};
    controls_ += controls;
    const auto& t = d.terminals;
    for (std::size_t c = 0; c < controls; ++c) {
        const Interval across = voltage(t.control[c].first) - voltage(t.control[c].second);
        d.at[c] = t.sign > 0 ? across : -across;
    }
    const Tangent tangent = std::visit(TangentOver{d.at, d.at}, law);
    for (std::size_t f = 0; f < flows; ++f) {
        Flow& flow = d.flows[f];
        flow.nodes = f == 0 ? t.main : t.base;
        flow.value = tangent.value[f].middle();
        flow.beyond = tangent.value[f] - Interval(flow.value);
        for (std::size_t c = 0; c < 2; ++c) flow.slope[c] = tangent.slope[f][c].middle();
        flow.cause = causes_.size();
        causes_.emplace_back();
    }
    if (const auto* lit = std::get_if<PhotocurrentElement>(&element)) {
        d.light = &light[to_index(lit->lit_by)];
        d.light_cause = causes_.size();
        causes_.push_back(d.light->rest);
    }
    devices_.push_back(d);
}

void EnclosedSide::enter(Eigen::Index at_row, Eigen::Index column, double value) {
    if (at_row < 0 || column < 0) return;
    jacobian_(at_row, column) += value;
    size_(at_row, column) += std::abs(value);
}

void EnclosedSide::flow_into_residual(const std::pair<Node, Node>& nodes, const Interval& current) {
    const auto add = [&](Node node, const Interval& i) {
        if (row(node) < 0) return;
        auto& sum = residual_[static_cast<std::size_t>(row(node))];
        sum = sum + i;
    };
    add(nodes.first, current);
    add(nodes.second, -current);
}

// The equations at the middle, and their Jacobian with the slopes that were chosen for each law.
void EnclosedSide::assemble() {
    jacobian_.setZero(unknowns_, unknowns_);
    size_.setZero(unknowns_, unknowns_);
    residual_.resize(static_cast<std::size_t>(unknowns_));
    for (const auto& r : rows_) {
        const Interval current = middle_.unknowns[static_cast<std::size_t>(r.unknown)];
        flow_into_residual({r.from, r.to}, current);
        residual_[static_cast<std::size_t>(r.unknown)] =
            voltage(r.from) - voltage(r.to) + r.voltage.centre - r.resistance.centre * current;
        enter(row(r.from), r.unknown, 1.0);
        enter(row(r.to), r.unknown, -1.0);
        enter(r.unknown, row(r.from), 1.0);
        enter(r.unknown, row(r.to), -1.0);
        enter(r.unknown, r.unknown, -r.resistance.centre.middle());
    }
    for (const auto& d : devices_) {
        const auto& t = d.terminals;
        for (std::size_t f = 0; f < d.flow_count; ++f) {
            const Flow& flow = d.flows[f];
            const Interval value(flow.value);
            flow_into_residual(flow.nodes, t.sign > 0 ? value : -value);
            if (d.light) flow_into_residual(flow.nodes, d.light->centre);
            for (std::size_t c = 0; c < d.controls; ++c) {
                const auto [plus, minus] = t.control[c];
                enter(row(flow.nodes.first), row(plus), flow.slope[c]);
                enter(row(flow.nodes.first), row(minus), -flow.slope[c]);
                enter(row(flow.nodes.second), row(plus), -flow.slope[c]);
                enter(row(flow.nodes.second), row(minus), flow.slope[c]);
            }
        }
    }
    // Rows are scaled as in the solver.
    Eigen::VectorXd scale = Eigen::VectorXd::Ones(unknowns_);
    for (Eigen::Index r = 0; r < unknowns_; ++r) {
        const double largest = jacobian_.row(r).cwiseAbs().maxCoeff();
        if (largest > 0) scale[r] = 1.0 / largest;
    }
    const Eigen::MatrixXd scaled = scale.asDiagonal() * jacobian_;
    inverse_ = scaled.partialPivLu().inverse() * scale.asDiagonal();
    const auto terms = static_cast<std::size_t>(unknowns_) + rows_.size() + 8 * devices_.size() + 8;
    const auto identity = Eigen::MatrixXd::Identity(unknowns_, unknowns_);
    defect_ = (identity - inverse_ * jacobian_).cwiseAbs() +
              rounding_share(terms) * (inverse_.cwiseAbs() * size_ + identity);
    defect_.array() += least_defect;
}

Interval EnclosedSide::response(Eigen::Index unknown, const std::pair<Node, Node>& nodes) const {
    const auto at = [&](Node n) {
        return row(n) < 0 ? Interval() : Interval(inverse_(unknown, row(n)));
    };
    return at(nodes.first) - at(nodes.second);
}

// What each cause does to each unknown.
void EnclosedSide::respond() {
    deviations_.resize(static_cast<std::size_t>(unknowns_) + controls_);
    for (Eigen::Index j = 0; j < unknowns_; ++j) {
        Affine& x = deviations_[static_cast<std::size_t>(j)];
        x.slope.resize(causes_.size());
        for (Eigen::Index r = 0; r < unknowns_; ++r) {
            x.rest = x.rest - Interval(inverse_(j, r)) * residual_[static_cast<std::size_t>(r)];
        }
        for (const auto& r : rows_) {
            const Interval of_row = inverse_(j, r.unknown);
            const Interval current = middle_.unknowns[static_cast<std::size_t>(r.unknown)];
            x.add_deviation(-of_row, r.voltage);
            for (std::size_t k = 0; k < r.resistance.slope.size(); ++k) {
                x.add_cause(k, of_row * current * r.resistance.slope[k]);
            }
            if (r.cause) x.add_cause(*r.cause, of_row);
        }
        for (const auto& d : devices_) {
            const Interval sign = d.terminals.sign;
            std::array<Interval, 2> by_flow;
            for (std::size_t f = 0; f < d.flow_count; ++f) {
                by_flow[f] = -(sign * response(j, d.flows[f].nodes));
                x.add_cause(d.flows[f].cause, by_flow[f]);
            }
            if (!d.light) continue;
            for (std::size_t k = 0; k < d.light->slope.size(); ++k) {
                x.add_cause(k, by_flow[0] * d.light->slope[k]);
            }
            x.add_cause(d.light_cause, by_flow[0]);
        }
    }
    for (const auto& d : devices_) {
        for (std::size_t c = 0; c < d.controls; ++c) {
            const auto [plus, minus] = d.terminals.control[c];
            deviations_[static_cast<std::size_t>(unknowns_) + d.first_control + c] =
                d.terminals.sign > 0 ? difference(plus, minus) : difference(minus, plus);
        }
    }
}

Affine EnclosedSide::difference(Node plus, Node minus) const {
    Affine result{.centre = voltage(plus) - voltage(minus)};
    const auto add = [&](Node node, double factor) {
        if (row(node) < 0) return;
        result.add_deviation(factor, deviations_[static_cast<std::size_t>(row(node))]);
    };
    add(plus, 1.0);
    add(minus, -1.0);
    return result;
}

}  // namespace gapwright
