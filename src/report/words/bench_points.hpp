// Where the leads of a meter are held, in words.
#pragma once

#include <string>
#include <vector>
#include "bench/meter/measurement.hpp"
#include "board/wiring.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"
#include "report/bench_report.hpp"

namespace gapwright {

// Where one lead is held.
struct MeterPoint {
    std::string name;                     // "coil", "input return", "between R1 and U1"
    std::vector<std::string> pins = {};   // what meets there: "K1", "D1 anode"
    std::vector<std::string> holes = {};  // of a board, all of them: "e14"

    // "K1, D1 anode, Q1 collector", "R1, R2, R3 and 4 more"; empty where nothing is joined.
    std::string pin_words() const;
    // "hole e14", "hole e14 or d20": two at most, any does; empty without a board.
    std::string hole_words() const;
};

// Both leads. What carries a current to be measured is opened, and the meter put between.
struct LeadPoints {
    MeterPoint red;
    MeterPoint black;
    std::string opened = {};  // "Take the input supply's + lead off the board."; empty if nothing
};

class MeterPoints {
  public:
    // Refers to both.
    MeterPoints(const Link& link, const NodeHoles& holes);

    MeterPoint at(Side side, Node node) const;
    LeadPoints of(const Measurement& measurement) const;

  private:
    std::vector<std::string> pins_of(Side side, Node node) const;
    LeadPoints across_the_gap(const Measurement& m) const;
    LeadPoints in_lead(const Measurement& measurement) const;

    const Link& link_;
    const NodeHoles& holes_;
    Wiring wiring_;
};

}  // namespace gapwright
