// How a plan becomes a board: what goes in when, and where to stop and look.
//
// Low parts first, then taller ones; one side after the other; the gap's parts last, after the two
// sides have been found apart and each supply has been seen to give what it should.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "build/first_power.hpp"

namespace gapwright {

struct Link;
struct Part;
struct Proof;

struct BuildStep {
    std::string title;                    // "Resistors of the input side"
    std::vector<std::string> lines;       // what to do or to look for, with holes
    bool is_check = false;                // stop and check
    std::vector<std::size_t> parts = {};  // of the wiring: what is put in, or looked at
    std::vector<std::size_t> wires = {};  // of the plan
    bool cuts = false;                    // the strips are cut now
    bool from_below = false;              // the picture shows the side that is soldered
};

// What the steps are made from.
struct StepSources {
    const Link& link;
    const Proof& proof;
    const Wiring& wiring;
    const Plan& plan;
    const std::vector<FirstCurrent>& first_currents;
};
std::vector<BuildStep> build_steps(const StepSources& sources);

// The link's part behind a part of the wiring, or none for a supply.
const Part* part_behind(const Link& link, const WiringPart& part);

// What to know of a part when it goes in: "330 Ω ± 5 %, 0.25 W (orange orange brown gold)".
std::string part_words(const Link& link, const WiringPart& part);

}  // namespace gapwright
