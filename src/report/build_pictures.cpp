// What a build sheet shows: plans, steps, resistors with their bands.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cstddef>
#include <utility>
#include <vector>

#include "board/board.hpp"
#include "draw/band_picture.hpp"
#include "draw/board_picture.hpp"
#include "draw/schematic.hpp"
#include "proof/proof.hpp"
#include "report/build_report.hpp"
#include "report/html_report.hpp"
#include "report/schematic_view.hpp"

namespace gapwright {
namespace {

constexpr int rows_beside = 2;  // of a step's holes that its picture shows
constexpr int fewest_rows = 6;

class Pictures {
  public:
    explicit Pictures(const BuildAnswer& answer)
        : answer_(answer),
          wiring_(answer.sheet.wiring),
          plan_(answer.sheet.plan),
          kind_(board_kind_word(plan_.board.kind)) {}

    BuildPictures run() {
        plan(false);
        if (plan_.board.kind != BoardKind::solderless) plan(true);
        if (!answer_.proof.states.empty()) {
            result_.schematic.push_back(
                {kind_ + "-schematic",
                 fmt::format("Schematic, state {}", answer_.proof.states[0].name),
                 draw_schematic(schematic_view(answer_.link, answer_.proof, 0))});
        }
        resistors();
        steps();
        return std::move(result_);
    }

  private:
    void plan(bool below) {
        BoardView view{.title = fmt::format("{}: {} board from {}", answer_.link.title, kind_,
                                            below ? "below" : "above"),
                       .description =
                           "Board plan: input side and output side, the gap hatched "
                           "between them",
                       .from_below = below};
        result_.plans.push_back(
            {fmt::format("{}-plan{}", kind_, below ? "-below" : ""),
             !below ? "From above"
             : plan_.board.kind == BoardKind::strip
                 ? "From below, turned over left to right: where to cut and to solder"
                 : "From below, turned over left to right: wires, and where to solder",
             board_picture(wiring_, plan_, view)});
    }

    void resistors() {
        for (const auto& item : answer_.parts.items) {
            if (!item.look.bands) continue;
            const std::string names = fmt::format("{}", fmt::join(item.designators, ", "));
            result_.resistors.push_back(
                {fmt::format("{}-bands-{}", kind_, item.designators[0]),
                 fmt::format("{}: {}", names, item.look.text),
                 draw_banded_resistor({names, item.look.text, *item.look.bands})});
        }
    }

    void steps() {
        BoardView there;  // what the steps so far have put in
        there.parts.assign(wiring_.parts.size(), Shown::absent);
        there.wires.assign(plan_.wires.size(), Shown::absent);
        there.cuts = Shown::absent;
        for (const auto& step : answer_.sheet.steps) {
            auto& pictures = result_.steps.emplace_back();
            const std::size_t number = result_.steps.size();
            const bool puts_in = !step.is_check && (!step.parts.empty() || !step.wires.empty());
            if (puts_in || (step.cuts && !step.is_check)) {
                pictures.push_back({fmt::format("{}-step-{:02}", kind_, number),
                                    fmt::format("Step {}: {}", number, step.title),
                                    board_picture(wiring_, plan_, view_of(step, there))});
            }
            if (!puts_in && !step.cuts) continue;
            for (const std::size_t k : step.parts) there.parts[k] = Shown::faint;
            for (const std::size_t k : step.wires) there.wires[k] = Shown::faint;
            if (step.cuts) there.cuts = Shown::faint;
        }
    }

    BoardView view_of(const BuildStep& step, const BoardView& there) const {
        BoardView view = there;
        view.title = step.title;
        view.description = "The board while this step is done: what is put in stands out";
        view.from_below = step.from_below;
        if (step.cuts) {
            view.cuts = Shown::now;
            return view;
        }
        for (const std::size_t k : step.parts) view.parts[k] = Shown::now;
        for (const std::size_t k : step.wires) view.wires[k] = Shown::now;
        int first = plan_.board.rows;
        int last = 0;
        const auto take = [&](Hole hole) {
            first = std::min(first, hole.row);
            last = std::max(last, hole.row);
        };
        if (plan_.board.kind != BoardKind::solderless) return view;  // small enough to show whole
        for (const std::size_t k : step.parts) std::ranges::for_each(plan_.holes[k], take);
        for (const std::size_t k : step.wires) {
            take(plan_.wires[k].from);
            take(plan_.wires[k].to);
        }
        first = std::max(0, first - rows_beside);
        last =
            std::min(plan_.board.rows - 1, std::max(last + rows_beside, first + fewest_rows - 1));
        view.first_row = first;
        view.last_row = last;
        return view;
    }

    const BuildAnswer& answer_;
    const Wiring& wiring_;
    const Plan& plan_;
    std::string kind_;
    BuildPictures result_;
};

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
    return Pictures(answer).run();
}

}  // namespace gapwright
