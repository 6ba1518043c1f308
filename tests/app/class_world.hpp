// A class at its benches: eight couplers out of one bag, a student with a meter at each, and what
// the couplers truly do. Written apart from the program, from what the trade knows of such
// couplers; it shares no code and no table with what it tests.
#pragma once

#include <cstdint>
#include <random>
#include <string>
#include <vector>

namespace gapwright::testing_support {

// One coupler as it is. Figures and their ranges are common practice: data sheets' typical curves
// of four-pin couplers, from memory.
struct WorldCoupler {
    double ratio = 1.3;      // collector over forward current at 5 mA, 5 V
    double knee = 0.8e-3;    // A, below which the ratio falls
    double steepness = 0.9;  // how fast it does
    double droop = 80e-3;    // A, above which it falls again
    double early = 80;       // V
    double volts = 1.17;     // V forward at 5 mA
    double slope = 0.042;    // V a neper of forward current
    double series = 1.5;     // Ω

    double forward_voltage(double amperes) const;                  // V
    double collector_current(double forward, double volts) const;  // A
};

// What a class wrote down, as one table.
struct ClassReadings {
    std::vector<WorldCoupler> couplers;
    std::string csv;  // with columns of their own: who, when
};
ClassReadings class_readings(std::uint64_t seed, int students = 8);

// What another coupler out of the same bag is.
WorldCoupler drawn_coupler(std::mt19937_64& random);

// The voltage across the load of a link with that coupler: `supply` behind `series` drives it,
// `output` feeds its collector, `load` stands between its emitter and the return.
struct ClassLink {
    double supply = 5;    // V
    double series = 680;  // Ω
    double output = 5;    // V
    double load = 220;    // Ω
};
double load_voltage(const WorldCoupler& coupler, const ClassLink& link);

}  // namespace gapwright::testing_support
