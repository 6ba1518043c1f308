#include "proof/search/search_space.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>
#include <random>
#include <vector>

#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "device/constants.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

Coordinate coordinate_of(const Parameter& parameter, std::size_t slot) {
    const Spread& spread = parameter.spread;
    const Spread ends = range_ends(parameter.range);
    // What must be above zero ends a thousandth of its nominal above it (own choice): nature has
    // no last resistance, and the laws none at zero.
    const double least = parameter.range == Range::above_zero ? spread.nominal / 1000 : ends.lowest;
    return {.kind = Coordinate::Kind::parameter,
            .slot = static_cast<Slot>(slot),
            .range = spread,
            .least = std::min(least, spread.lowest),
            .most = std::max(ends.highest, spread.highest),
            .assumed = parameter.assumed,
            .logarithmic = parameter.law() == SpreadLaw::logarithmic};
}

double value_of_condition(const Coordinate& c, const Conditions& conditions) {
    switch (c.kind) {
        case Coordinate::Kind::temperature:
            return conditions.temperature;
        case Coordinate::Kind::light:
            return conditions.light;
        case Coordinate::Kind::age:
            return conditions.age;
        case Coordinate::Kind::parameter:
            break;
    }
    return 0;
}

}  // namespace

double Coordinate::value(double share, double stretch) const {
    const bool as_nominal = share == share_of(range.nominal);
    const double inside = as_nominal ? range.nominal
                          : logarithmic
                              ? range.lowest * std::pow(range.highest / range.lowest, share)
                              : std::lerp(range.lowest, range.highest, share);
    const double factor = assumed ? std::min(stretch, 1.0) : stretch;
    if (factor == 1.0 || as_nominal) return inside;
    const double moved = logarithmic ? range.nominal * std::pow(inside / range.nominal, factor)
                                     : range.nominal + factor * (inside - range.nominal);
    return std::clamp(moved, least, most);
}

double Coordinate::share_of(double value) const {
    if (logarithmic) {
        return std::log(value / range.lowest) / std::log(range.highest / range.lowest);
    }
    return (value - range.lowest) / (range.highest - range.lowest);
}

std::vector<Coordinate> coordinates_of(const LinkCircuit& circuit, const ConditionRanges& ranges) {
    std::vector<Coordinate> coordinates;
    for (std::size_t k = 0; k < circuit.parameters.size(); ++k) {
        if (!circuit.parameters[k].spread.varies()) continue;
        coordinates.push_back(coordinate_of(circuit.parameters[k], k));
    }
    const Conditions nominal = nominal_specimen(circuit, ranges).conditions;
    const auto condition = [&](Coordinate::Kind kind, const Spread& range, double least,
                               double most) {
        if (!range.varies()) return;
        Coordinate c{.kind = kind, .slot = {}, .range = range, .least = least, .most = most};
        c.range.nominal = value_of_condition(c, nominal);
        coordinates.push_back(c);
    };
    condition(Coordinate::Kind::temperature, ranges.temperature, coldest_temperature,
              hottest_temperature);
    condition(Coordinate::Kind::light, ranges.light, 0, infinity);
    condition(Coordinate::Kind::age, ranges.age, 0, infinity);
    return coordinates;
}

std::vector<Point> mixed_points(std::size_t coordinates, std::size_t count) {
    // NOLINTNEXTLINE(bugprone-random-generator-seed): the same points every time are meant
    std::mt19937_64 bits(1);
    std::vector<Point> points(count, Point(coordinates));
    for (auto& point : points) {
        for (auto& share : point) {
            const double even = static_cast<double>(bits() >> 11U) * 0x1p-53;
            share = std::clamp(5 * even - 2, 0.0, 1.0);
        }
    }
    return points;
}

SearchSpace::SearchSpace(const LinkCircuit& circuit, const ConditionRanges& ranges)
    : base_(nominal_specimen(circuit, ranges)), coordinates_(coordinates_of(circuit, ranges)) {}

Point SearchSpace::nominal() const {
    Point point;
    for (const auto& c : coordinates_) point.push_back(c.share_of(c.range.nominal));
    return point;
}

Point SearchSpace::point_of(const Specimen& specimen) const {
    Point point;
    for (const auto& c : coordinates_) {
        point.push_back(c.share_of(c.kind == Coordinate::Kind::parameter
                                       ? specimen.values[to_index(c.slot)]
                                       : value_of_condition(c, specimen.conditions)));
    }
    return point;
}

Specimen SearchSpace::specimen_at(const Point& point, double stretch) const {
    Specimen specimen = base_;
    write(point, stretch, specimen);
    return specimen;
}

double SearchSpace::temperature_at(const Point& point, double stretch) const {
    for (std::size_t k = 0; k < coordinates_.size(); ++k) {
        if (coordinates_[k].kind == Coordinate::Kind::temperature) {
            return coordinates_[k].value(point[k], stretch);
        }
    }
    return base_.conditions.temperature;
}

}  // namespace gapwright
