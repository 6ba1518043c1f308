// What a build sheet shows: plans, steps, resistors with their bands.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cstddef>
#include <vector>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "build/parts_to_pull.hpp"
#include "build/steps.hpp"
#include "draw/band_picture.hpp"
#include "draw/board_picture.hpp"
#include "draw/schematic.hpp"
#include "proof/proof.hpp"
#include "report/build_report.hpp"
#include "report/html/html_report.hpp"
#include "report/pictures/board_bands.hpp"
#include "report/pictures/schematic_view.hpp"

namespace gapwright {
namespace {

constexpr int rows_beside = 2;  // of a step's holes that its picture shows
constexpr int fewest_rows = 6;

// The board while a step is done, `there` being what the steps before have put in.
BoardView view_of(const Plan& plan, const BuildStep& step, const BoardView& there) {
    BoardView view = there;
    view.title = step.title;
    view.description = "The board while this step is done: what is put in stands out";
    view.from_below = step.from_below;
    if (step.cuts) {
        view.cuts = BoardInk::now;
        return view;
    }
    for (const std::size_t k : step.parts) view.parts[k] = BoardInk::now;
    for (const std::size_t k : step.wires) view.wires[k] = BoardInk::now;
    int first = plan.board.rows;
    int last = 0;
    const auto take = [&](Hole hole) {
        first = std::min(first, hole.row);
        last = std::max(last, hole.row);
    };
    if (plan.board.kind != BoardKind::solderless) return view;  // small enough to show whole
    for (const std::size_t k : step.parts) std::ranges::for_each(plan.holes[k], take);
    for (const std::size_t k : step.wires) {
        take(plan.wires[k].from);
        take(plan.wires[k].to);
    }
    first = std::max(0, first - rows_beside);
    last = std::min(plan.board.rows - 1, std::max(last + rows_beside, first + fewest_rows - 1));
    view.first_row = first;
    view.last_row = last;
    return view;
}

std::string caption_from_above(const Board& board) {
    const auto broken = rail_break(board);
    if (!broken) return "From above";
    return fmt::format(
        "From above. Rails of many boards of this size are broken at row {}: bridge them there",
        *broken + 1);
}

NamedPicture plan_picture(const BuildAnswer& answer, const std::string& kind, bool below) {
    const Plan& plan = answer.sheet.plan;
    const BoardView view{.title = fmt::format("{}: {} board from {}", answer.link.title, kind,
                                              below ? "below" : "above"),
                         .description =
                             "Board plan: input side and output side, the gap hatched "
                             "between them",
                         .from_below = below,
                         .bands = bands_on(answer.link, answer.sheet.wiring)};
    return {fmt::format("{}-plan{}", kind, below ? "-below" : ""),
            !below ? caption_from_above(plan.board)
            : plan.board.kind == BoardKind::strip
                ? "From below, turned over left to right: where to cut and to solder"
                : "From below, turned over left to right: wires, and where to solder",
            board_picture(answer.sheet.wiring, plan, view)};
}

std::vector<NamedPicture> resistor_pictures(const PartsToPull& parts, const std::string& kind) {
    std::vector<NamedPicture> pictures;
    for (const auto& item : parts.items) {
        if (!item.look.bands) continue;
        const std::string names = fmt::format("{}", fmt::join(item.designators, ", "));
        pictures.push_back({fmt::format("{}-bands-{}", kind, item.designators[0]),
                            fmt::format("{}: {}", names, item.look.text),
                            draw_banded_resistor({names, item.look.text, *item.look.bands})});
    }
    return pictures;
}

// By step: one, or none.
std::vector<std::vector<NamedPicture>> step_pictures(const Link& link, const BuildSheet& sheet,
                                                     const std::string& kind) {
    BoardView there;  // what the steps so far have put in
    there.bands = bands_on(link, sheet.wiring);
    there.parts.assign(sheet.wiring.parts.size(), BoardInk::absent);
    there.wires.assign(sheet.plan.wires.size(), BoardInk::absent);
    there.cuts = BoardInk::absent;
    std::vector<std::vector<NamedPicture>> all;
    for (const auto& step : sheet.steps) {
        auto& pictures = all.emplace_back();
        const bool puts_in = !step.is_check && (!step.parts.empty() || !step.wires.empty());
        if (puts_in || (step.cuts && !step.is_check)) {
            pictures.push_back(
                {fmt::format("{}-step-{:02}", kind, all.size()),
                 fmt::format("Step {}: {}", all.size(), step.title),
                 board_picture(sheet.wiring, sheet.plan, view_of(sheet.plan, step, there))});
        }
        if (!puts_in && !step.cuts) continue;
        for (const std::size_t k : step.parts) there.parts[k] = BoardInk::faint;
        for (const std::size_t k : step.wires) there.wires[k] = BoardInk::faint;
        if (step.cuts) there.cuts = BoardInk::faint;
    }
    return all;
}

}  // namespace

std::vector<const NamedPicture*> BuildPictures::all() const {
    std::vector<const NamedPicture*> pictures;
    for (const auto* list : {&plans, &schematic, &resistors}) {
        for (const auto& picture : *list) pictures.push_back(&picture);
    }
    for (const auto& list : steps) {
        for (const auto& picture : list) pictures.push_back(&picture);
    }
    return pictures;
}

BuildPictures build_pictures(const BuildAnswer& answer) {
    const BoardKind board = answer.sheet.plan.board.kind;
    const std::string kind(board_kind_word(board));
    BuildPictures pictures{.plans = {plan_picture(answer, kind, false)},
                           .schematic = {},
                           .resistors = resistor_pictures(answer.parts, kind),
                           .steps = step_pictures(answer.link, answer.sheet, kind)};
    if (board != BoardKind::solderless) pictures.plans.push_back(plan_picture(answer, kind, true));
    if (!answer.proof.states.empty()) {
        pictures.schematic.push_back(
            {kind + "-schematic", fmt::format("Schematic, state {}", answer.proof.states[0].name),
             draw_schematic(schematic_view(answer.link, answer.proof, 0))});
    }
    return pictures;
}

}  // namespace gapwright
