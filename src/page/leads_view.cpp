// Where the meter's leads go, drawn.
#include <algorithm>
#include <cstddef>
#include <ranges>
#include <string>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "board/board.hpp"
#include "board/wiring.hpp"
#include "build/wiring_of_link.hpp"
#include "draw/schematic.hpp"
#include "link/link.hpp"
#include "page/board_table.hpp"
#include "page/open_link.hpp"
#include "page/reading_id.hpp"
#include "page/refusal.hpp"
#include "page/works.hpp"
#include "page/workspace.hpp"
#include "report/json/ordered_json.hpp"
#include "report/pictures/bench_board.hpp"
#include "report/pictures/bench_pictures.hpp"

namespace gapwright {
namespace {

// Part names hold no space.
std::vector<std::size_t> parts_named(const Link& link, const std::string& names) {
    std::vector<std::size_t> parts;
    for (const auto word : std::views::split(names, ' ')) {
        if (const auto part = link.find_part(std::string(word.begin(), word.end()))) {
            parts.push_back(*part);
        }
    }
    return parts;
}

Answered<Json> on_board(BoardTable& boards, const std::string& link_id, const Link& link,
                        const Measurement& measurement, const LeadsAsked& wanted) {
    const auto kind = board_kind_named(wanted.board);
    if (!kind) return refused(400, "there is no such board");
    const Wiring wiring = wiring_of(link);
    const auto plan = boards.last(link_id, *kind, wiring);
    if (!plan) return refused(409, "there is no plan of this board yet", "order one");
    const auto drawn =
        meter_on_board(link, wiring, *plan, measurement, parts_named(link, wanted.suspects));
    if (!drawn) return refused(422, "For this reading neither lead is held on the board.");
    return Json{{"drawing", drawn->picture.svg(false)}, {"note", drawn->note}};
}

}  // namespace

Answered<Json> leads_view(Workspace& workspace, OpenLink& link, const LeadsAsked& wanted) {
    const auto judged = link.judged(workspace.stamp());
    if (!judged->link) return refused(422, "this link has problems", "see Circuit");
    const auto known = measurements_of(*judged->link);
    const auto found = std::ranges::find(known, wanted.reading, reading_id);
    if (found == known.end()) return refused(404, "this link has no such measurement");
    if (!wanted.board.empty()) {
        return on_board(workspace.boards(), link.id(), *judged->link, *found, wanted);
    }
    return Json{{"drawing", draw_schematic(meter_view(*judged->link, *found)).svg(false)},
                {"note", ""}};
}

}  // namespace gapwright
