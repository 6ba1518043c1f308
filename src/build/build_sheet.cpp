#include "build/build_sheet.hpp"

#include <cmath>
#include <cstddef>
#include <utility>
#include <vector>
#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/side_distance.hpp"
#include "board/wiring.hpp"
#include "build/insulation.hpp"
#include "build/steps.hpp"
#include "link/link.hpp"

namespace gapwright {
namespace {

// Pin rows of couplers: in air and along the board the same, as long as no slot is cut.
std::vector<GapPlace> gap_places(const Link& link, const Wiring& wiring, const Plan& plan) {
    std::vector<GapPlace> places;
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        if (wiring.parts[k].footprint.body != Body::coupler) continue;
        const auto part = link.find_part(wiring.parts[k].name);
        const auto distance = distance_under_coupler(wiring, plan, k);
        if (part && distance) places.push_back({*part, distance->metres, distance->metres});
    }
    return places;
}

// Stands above all other steps.
BuildStep isolation_not_kept(const InsulationVerdict& verdict) {
    BuildStep step{.title = "Isolation is not kept on this board",
                   .lines = {"Do not build the link on it as it stands:"},
                   .is_check = true};
    for (const auto& finding : verdict.findings) {
        if (!finding.kept) step.lines.push_back(finding.text);
    }
    return step;
}

}  // namespace

BuildSheet build_sheet(const BuildLink& of, Wiring wiring, Plan plan) {
    BuildSheet sheet{.wiring = std::move(wiring),
                     .plan = std::move(plan),
                     .nearest = {},
                     .insulation = {},
                     .steps = {}};
    sheet.nearest = side_distance(sheet.wiring, sheet.plan);
    FoundDistances found;
    found.solderless = sheet.plan.board.kind == BoardKind::solderless;
    if (sheet.nearest) found.between_sides = sheet.nearest->metres;
    found.gaps = gap_places(of.link, sheet.wiring, sheet.plan);
    sheet.insulation = judge_insulation(of.link, found);
    sheet.steps = build_steps({of.link, of.proof, sheet.wiring, sheet.plan, of.first_currents});
    if (!sheet.insulation.kept()) {
        sheet.steps.insert(sheet.steps.begin(), isolation_not_kept(sheet.insulation));
    }
    return sheet;
}

}  // namespace gapwright
