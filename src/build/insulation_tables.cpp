#include "build/insulation_tables.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include "link/link.hpp"

namespace gapwright {
namespace {

constexpr double mm = 1e-3;

// Table F.1: by mains line to neutral, V for category I to IV.
struct ImpulseRow {
    double mains;
    std::array<double, 4> impulse;
};
constexpr auto impulse_rows = std::to_array<ImpulseRow>({
    {50, {330, 500, 800, 1500}},
    {100, {500, 800, 1500, 2500}},
    {150, {800, 1500, 2500, 4000}},
    {300, {1500, 2500, 4000, 6000}},
    {600, {2500, 4000, 6000, 8000}},
    {1000, {4000, 6000, 8000, 12000}},
});

constexpr std::array<double, 9> preferred_impulses = {330,  500,  800,  1500, 2500,
                                                      4000, 6000, 8000, 12000};

// A distance in mm at a voltage.
struct Row {
    double voltage;
    double distance;
};

// Table F.2, case A, pollution degree 1. The other degrees are the same from their least value up.
constexpr auto clearance_rows = std::to_array<Row>({
    {330, 0.01},  {400, 0.02}, {500, 0.04}, {600, 0.06}, {800, 0.10}, {1000, 0.15},
    {1200, 0.25}, {1500, 0.5}, {2000, 1.0}, {2500, 1.5}, {3000, 2.0}, {4000, 3.0},
    {5000, 4.0},  {6000, 5.5}, {8000, 8.0}, {10000, 11}, {12000, 14}, {15000, 18},
    {20000, 25},  {25000, 33}, {30000, 40}, {40000, 60},
});
constexpr std::array<double, 3> least_clearance = {0.01, 0.2, 0.8};  // mm, of pollution degree 1 …

// Table F.7a, case A.
constexpr auto steady_rows = std::to_array<Row>({
    {330, 0.01},
    {400, 0.02},
    {500, 0.04},
    {600, 0.06},
    {800, 0.13},
    {1000, 0.26},
    {1200, 0.42},
    {1500, 0.76},
    {2000, 1.27},
    {2500, 1.8},
    {3000, 2.4},
    {4000, 3.8},
    {5000, 5.7},
    {6000, 7.9},
    {8000, 11.0},
    {10000, 15.2},
});

// Table F.4, mm. Groups IIIa and IIIb share a column.
struct CreepageRow {
    double voltage;
    double printed_1;  // 0: not in the table
    double printed_2;
    double degree_1;
    std::array<double, 3> degree_2;  // group I, II, III
    std::array<double, 3> degree_3;
};
constexpr auto creepage_rows = std::to_array<CreepageRow>({
    {10, 0.025, 0.04, 0.08, {0.4, 0.4, 0.4}, {1.0, 1.0, 1.0}},
    {12.5, 0.025, 0.04, 0.09, {0.42, 0.42, 0.42}, {1.05, 1.05, 1.05}},
    {16, 0.025, 0.04, 0.10, {0.45, 0.45, 0.45}, {1.1, 1.1, 1.1}},
    {20, 0.025, 0.04, 0.11, {0.48, 0.48, 0.48}, {1.2, 1.2, 1.2}},
    {25, 0.025, 0.04, 0.125, {0.5, 0.5, 0.5}, {1.25, 1.25, 1.25}},
    {32, 0.025, 0.04, 0.14, {0.53, 0.53, 0.53}, {1.3, 1.3, 1.3}},
    {40, 0.025, 0.04, 0.16, {0.56, 0.8, 1.1}, {1.4, 1.6, 1.8}},
    {50, 0.025, 0.04, 0.18, {0.6, 0.85, 1.2}, {1.5, 1.7, 1.9}},
    {63, 0.04, 0.063, 0.20, {0.63, 0.9, 1.25}, {1.6, 1.8, 2.0}},
    {80, 0.063, 0.1, 0.22, {0.67, 0.95, 1.3}, {1.7, 1.9, 2.1}},
    {100, 0.1, 0.16, 0.25, {0.71, 1.0, 1.4}, {1.8, 2.0, 2.2}},
    {125, 0.16, 0.25, 0.28, {0.75, 1.05, 1.5}, {1.9, 2.1, 2.4}},
    {160, 0.25, 0.4, 0.32, {0.8, 1.1, 1.6}, {2.0, 2.2, 2.5}},
    {200, 0.4, 0.63, 0.42, {1.0, 1.4, 2.0}, {2.5, 2.8, 3.2}},
    {250, 0.56, 1.0, 0.56, {1.25, 1.8, 2.5}, {3.2, 3.6, 4.0}},
    {320, 0.75, 1.6, 0.75, {1.6, 2.2, 3.2}, {4.0, 4.5, 5.0}},
    {400, 1.0, 2.0, 1.0, {2.0, 2.8, 4.0}, {5.0, 5.6, 6.3}},
    {500, 1.3, 2.5, 1.3, {2.5, 3.6, 5.0}, {6.3, 7.1, 8.0}},
    {630, 1.8, 3.2, 1.8, {3.2, 4.5, 6.3}, {8.0, 9.0, 10.0}},
    {800, 2.4, 4.0, 2.4, {4.0, 5.6, 8.0}, {10.0, 11.0, 12.5}},
    {1000, 3.2, 5.0, 3.2, {5.0, 7.1, 10.0}, {12.5, 14.0, 16.0}},
    {1250, 0, 0, 4.2, {6.3, 9.0, 12.5}, {16.0, 18.0, 20.0}},
    {1600, 0, 0, 5.6, {8.0, 11.0, 16.0}, {20.0, 22.0, 25.0}},
    {2000, 0, 0, 7.5, {10.0, 14.0, 20.0}, {25.0, 28.0, 32.0}},
});
constexpr double highest_printed = 1000;  // V, of the columns for printed wiring

// Linear between rows, mm; below the first row that row. Empty above the last and for NaN.
template <class Rows, class Take>
std::optional<double> between_rows(const Rows& rows, double voltage, const Take& take) {
    if (!(voltage <= rows.back().voltage)) return std::nullopt;
    if (voltage <= rows.front().voltage) return take(rows.front());
    std::size_t above = 1;
    while (rows[above].voltage < voltage) ++above;
    if (rows[above].voltage == voltage) return take(rows[above]);  // without rounding
    const double share =
        (voltage - rows[above - 1].voltage) / (rows[above].voltage - rows[above - 1].voltage);
    return std::lerp(take(rows[above - 1]), take(rows[above]), share);
}

std::optional<double> in_metres(std::optional<double> millimetres) {
    return millimetres ? std::optional(*millimetres * mm) : std::nullopt;
}

double distance_of(const Row& row) {
    return row.distance;
}

}  // namespace

std::optional<double> rated_impulse(double mains, int category) {
    const auto row =
        std::ranges::find_if(impulse_rows, [&](const ImpulseRow& r) { return mains <= r.mains; });
    if (row == impulse_rows.end()) return std::nullopt;
    return row->impulse.at(static_cast<std::size_t>(category - 1));
}

double reinforced_impulse(double impulse) {
    constexpr double share = 1.6;
    const auto found = std::ranges::find(preferred_impulses, impulse);
    if (found == preferred_impulses.end() || found + 1 == preferred_impulses.end()) {
        return share * impulse;
    }
    return *(found + 1);
}

std::optional<double> impulse_clearance(double impulse, int pollution_degree) {
    const auto found = between_rows(clearance_rows, impulse, distance_of);
    if (!found) return std::nullopt;
    return std::max(*found, least_clearance.at(static_cast<std::size_t>(pollution_degree - 1))) *
           mm;
}

std::optional<double> steady_clearance(double peak) {
    return in_metres(between_rows(steady_rows, peak, distance_of));
}

std::optional<double> creepage_distance(double voltage, int pollution_degree,
                                        Insulation::Group group) {
    const std::size_t column = group == Insulation::Group::i    ? 0
                               : group == Insulation::Group::ii ? 1
                                                                : 2;
    return in_metres(between_rows(creepage_rows, voltage, [&](const CreepageRow& row) {
        if (pollution_degree == 1) return row.degree_1;
        return pollution_degree == 2 ? row.degree_2.at(column) : row.degree_3.at(column);
    }));
}

std::optional<double> printed_creepage(double voltage, int pollution_degree,
                                       Insulation::Group group) {
    const bool has_column =
        pollution_degree == 1 || (pollution_degree == 2 && group != Insulation::Group::iiib);
    if (!has_column || !(voltage <= highest_printed)) return std::nullopt;
    return in_metres(between_rows(creepage_rows, voltage, [&](const CreepageRow& row) {
        return pollution_degree == 1 ? row.printed_1 : row.printed_2;
    }));
}

std::optional<double> rationalised_voltage(double voltage) {
    const auto row = std::ranges::find_if(
        creepage_rows, [&](const CreepageRow& r) { return voltage <= r.voltage; });
    return row == creepage_rows.end() ? std::nullopt : std::optional(row->voltage);
}

}  // namespace gapwright
