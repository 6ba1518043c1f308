// A hand-held meter of so many counts: its ranges, what it does to the circuit, what it shows.
#pragma once

#include <functional>
#include <vector>

#include "link/meter.hpp"
#include "reference/second_bench/dice.hpp"

namespace gapwright::reference {

// How a range of ohms drives the unknown: a voltage behind a resistance.
struct OhmRange {
    double full_scale = 0;  // Ω
    double volts = 0;       // open
    double ohms = 0;        // inside
};

// What the junction test's current does up to the voltage that drives it: the file states both
// ends and nothing between.
enum class JunctionTest {
    constant,  // stays about what it is short-circuited
    resistor,  // falls straight
};

class HandMeter {
  public:
    // Takes the link's meter and throws what its file leaves open of the specimen.
    HandMeter(const Meter& meter, Dice& dice, JunctionTest test = JunctionTest::constant);

    // V and A as shown, autoranged; a voltage or current beyond the last range is infinite.
    double shown_voltage(double volts);
    // `measured` gives the current with so many ohms of burden in the lead.
    double shown_current(const std::function<double(double)>& measured);
    // `measured` gives the ohms (voltage over current) that a range finds.
    double shown_resistance(const std::function<double(const OhmRange&)>& measured);
    // `volts` at the test current: infinite beyond what the display has room for.
    double shown_junction(double volts);
    // An insulation tester: up to 2 GΩ (common practice).
    double shown_insulation(double ohms);

    const Meter& meter() const { return meter_; }
    double junction_current() const { return junction_current_; }
    double junction_bend() const { return test_ == JunctionTest::constant ? 6 : 1; }

  private:
    double shown(double value, double full_scale, const Accuracy& accuracy);
    std::vector<double> scales(double lowest, double highest) const;

    Meter meter_;
    Dice& dice_;
    JunctionTest test_;
    double junction_current_;
    double junction_range_;  // V
    std::vector<OhmRange> ohm_ranges_;
};

// The insulation tester's voltage, and what limits its current to a milliampere: the lowest that
// is usual for circuits at extra-low voltage (common practice).
inline constexpr double insulation_volts = 250;
inline constexpr double insulation_ohms = 250e3;

}  // namespace gapwright::reference
