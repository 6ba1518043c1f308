// The box of specimens, temperatures, light and age in which worst cases are looked for, and what
// becomes of it when every spread is stretched.
#pragma once

#include <cstddef>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "proof/cases/case.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// One coordinate of the search: a parameter that varies, or a condition.
struct Coordinate {
    using Kind = Varying;
    Kind kind = Kind::parameter;
    Slot slot{};   // of a parameter
    Spread range;  // nominal: where the nominal specimen lies
    // Where nature ends, whatever the stretch: no resistance below zero, no share above one, no
    // temperature beyond the models'.
    double least = 0;
    double most = 0;
    // Of an assumed figure: its range is all that the trade has, and is never made wider.
    bool assumed = false;
    // Shares are taken on the logarithm: of assumed ranges that reach over decades.
    bool logarithmic = false;

    // The value at a share of the range, 0 (lowest) to 1 (highest), with the range `stretch` times
    // as wide about its nominal.
    double value(double share, double stretch = 1) const;
    // The share of the range at which a value lies; of the nominal too.
    double share_of(double value) const;
};

std::vector<Coordinate> coordinates_of(const LinkCircuit& circuit, const ConditionRanges& ranges);

// A point of the box: each coordinate's share of its range. What stands after the last coordinate
// counts for nothing here.
using Point = std::vector<double>;

// Points that mix ends with inner values: of each coordinate two fifths stand at either end, the
// rest anywhere between. The same for that many coordinates every time.
std::vector<Point> mixed_points(std::size_t coordinates, std::size_t count);

class SearchSpace {
  public:
    SearchSpace(const LinkCircuit& circuit, const ConditionRanges& ranges);

    const Specimen& base() const { return base_; }  // every figure nominal
    const std::vector<Coordinate>& coordinates() const { return coordinates_; }
    std::size_t size() const { return coordinates_.size(); }

    Point nominal() const;
    Point point_of(const Specimen& specimen) const;
    Specimen specimen_at(const Point& point, double stretch = 1) const;
    double temperature_at(const Point& point, double stretch = 1) const;  // K

    // Calls set(slot, value) and set(conditions) of `place` with what the point asks for.
    template <class Place>
    void write(const Point& point, double stretch, Place&& place) const {
        Conditions conditions = base_.conditions;
        for (std::size_t k = 0; k < coordinates_.size(); ++k) {
            const Coordinate& c = coordinates_[k];
            const double value = c.value(point[k], stretch);
            switch (c.kind) {
                case Coordinate::Kind::parameter:
                    place.set(c.slot, value);
                    break;
                case Coordinate::Kind::temperature:
                    conditions.temperature = value;
                    break;
                case Coordinate::Kind::light:
                    conditions.light = value;
                    break;
                case Coordinate::Kind::age:
                    conditions.age = value;
                    break;
            }
        }
        place.set(conditions);
    }

  private:
    Specimen base_;
    std::vector<Coordinate> coordinates_;
};

}  // namespace gapwright
