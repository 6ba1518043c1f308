// The proof of an enclosed side: regions, and their images under the map that enclosed_side.hpp
// tells.
#include <array>
#include <cstddef>
#include <variant>
#include <vector>
#include "circuit/enclosed_laws.hpp"
#include "circuit/enclosed_side.hpp"
#include "circuit/index.hpp"
#include "circuit/rounding_share.hpp"
#include "device/interval.hpp"

namespace gapwright {
namespace {

using prepared::Tangent;
using prepared::TangentOver;

constexpr int most_rounds = 24;
constexpr int sharpening_rounds = 2;
constexpr double first_inflation = 0.1;  // of a trial region's width, at each end
constexpr double later_inflation = 0.03;
constexpr double least_width = 1e-130;  // so that rounding alone lies inside a region

Interval inflated(const Interval& a, double share) {
    const double more = share * a.width() + least_width;
    return {a.lower() - more, a.upper() + more};
}

}  // namespace

void EnclosedSide::take(const std::vector<Interval>& deviations) {
    for (const auto& r : rows_) {
        if (!r.cause) continue;
        const auto k = static_cast<std::size_t>(r.unknown);
        causes_[*r.cause] = r.resistance.rest * Interval(middle_.unknowns[k]) +
                            r.resistance.deviation(causes_) * deviations[k];
    }
    for (const auto& d : devices_) {
        const auto* moved = &deviations[static_cast<std::size_t>(unknowns_) + d.first_control];
        std::array<Interval, 2> control;
        for (std::size_t c = 0; c < d.controls; ++c) {
            control[c] = d.at[c] + moved[c];
        }
        const Tangent tangent = std::visit(TangentOver{d.at, control}, *d.law);
        for (std::size_t f = 0; f < d.flow_count; ++f) {
            const Flow& flow = d.flows[f];
            Interval beyond = flow.beyond;
            for (std::size_t c = 0; c < d.controls; ++c) {
                beyond = beyond + (tangent.slope[f][c] - Interval(flow.slope[c])) * moved[c];
            }
            causes_[flow.cause] = beyond;
        }
    }
}

Eigen::VectorXd EnclosedSide::defects(const std::vector<Interval>& deviations) const {
    Eigen::VectorXd size(unknowns_);
    for (Eigen::Index k = 0; k < unknowns_; ++k) {
        size[k] = deviations[static_cast<std::size_t>(k)].magnitude();
    }
    const auto n = static_cast<std::size_t>(unknowns_);
    const Eigen::VectorXd of_unknowns = (1 + rounding_share(n + 2)) * (defect_ * size);
    Eigen::VectorXd result(static_cast<Eigen::Index>(deviations_.size()));
    result.head(unknowns_) = of_unknowns;
    const auto at = [&](Node node) { return row(node) < 0 ? 0.0 : of_unknowns[row(node)]; };
    for (const auto& d : devices_) {
        for (std::size_t c = 0; c < d.controls; ++c) {
            const auto [plus, minus] = d.terminals.control[c];
            result[unknowns_ + static_cast<Eigen::Index>(d.first_control + c)] =
                (1 + rounding_share(2)) * (at(plus) + at(minus));
        }
    }
    return result;
}

std::vector<Interval> EnclosedSide::image(const Eigen::VectorXd& left_out) const {
    std::vector<Interval> result;
    result.reserve(deviations_.size());
    for (std::size_t k = 0; k < deviations_.size(); ++k) {
        const double defect = left_out[static_cast<Eigen::Index>(k)];
        result.push_back(deviations_[k].deviation(causes_) + Interval(-defect, defect));
    }
    return result;
}

bool EnclosedSide::prove() {
    for (const auto& d : devices_) {
        for (std::size_t f = 0; f < d.flow_count; ++f)
            causes_[d.flows[f].cause] = d.flows[f].beyond;
    }
    std::vector<Interval> region =
        image(Eigen::VectorXd::Zero(static_cast<Eigen::Index>(deviations_.size())));
    for (auto& r : region) r = inflated(hull(r, Interval()), first_inflation);
    for (int round = 0; round < most_rounds; ++round) {
        take(region);
        const auto next = image(defects(region));
        bool inside = true;
        for (std::size_t k = 0; k < region.size(); ++k) {
            if (!next[k].bounded()) return false;
            inside = inside && region[k].holds_inside(next[k]);
        }
        if (inside) {
            settle(region, next);
            return true;
        }
        for (std::size_t k = 0; k < region.size(); ++k) {
            if (!region[k].holds_inside(next[k])) {
                region[k] = inflated(hull(region[k], next[k]), later_inflation);
            }
        }
    }
    return false;
}

// The region is proven: each further image of it bounds the solutions more tightly.
void EnclosedSide::settle(std::vector<Interval> region, std::vector<Interval> next) {
    for (int round = 0;; ++round) {
        for (std::size_t k = 0; k < region.size(); ++k) region[k] = common(region[k], next[k]);
        if (round == sharpening_rounds) break;
        take(region);
        next = image(defects(region));
    }
    // What the causes leave out: the defect of C, from now on a part of every deviation.
    const Eigen::VectorXd left_out = defects(region);
    for (std::size_t k = 0; k < deviations_.size(); ++k) {
        const double size = left_out[static_cast<Eigen::Index>(k)];
        deviations_[k].rest = deviations_[k].rest + Interval(-size, size);
    }
}

}  // namespace gapwright
