// Everything that a build sheet tells of one link on one board.
#pragma once

#include <optional>
#include <vector>
#include "board/plan.hpp"
#include "board/side_distance.hpp"
#include "board/wiring.hpp"
#include "build/first_power.hpp"
#include "build/insulation.hpp"
#include "build/steps.hpp"

namespace gapwright {

struct BuildSheet {
    Wiring wiring;
    Plan plan;
    std::optional<SideDistance> nearest;  // metal of one side to metal of the other
    InsulationVerdict insulation;
    std::vector<BuildStep> steps;
};

// What a build sheet is made for, besides the plan.
struct BuildLink {
    const Link& link;
    const Proof& proof;
    const std::vector<FirstCurrent>& first_currents;
};

// The sheet for a plan that read_back found nothing wrong with.
BuildSheet build_sheet(const BuildLink& of, Wiring wiring, Plan plan);

}  // namespace gapwright
