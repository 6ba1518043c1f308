#include <fmt/format.h>
#include <fmt/ranges.h>
#include <cstddef>
#include <expected>
#include <string>
#include <utility>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/plan_table.hpp"
#include "board/read_back.hpp"
#include "board/wiring.hpp"
#include "build/build_sheet.hpp"
#include "build/first_power.hpp"
#include "build/insulation.hpp"
#include "build/parts_to_pull.hpp"
#include "build/steps.hpp"
#include "build/wiring_of_link.hpp"
#include "design/values/open_stock.hpp"
#include "link/link.hpp"
#include "page/board_table.hpp"
#include "page/build_maker.hpp"
#include "page/jobs.hpp"
#include "page/judged.hpp"
#include "page/open_link.hpp"
#include "page/pictures.hpp"
#include "page/refusal.hpp"
#include "page/works.hpp"
#include "page/workspace.hpp"
#include "report/build_report.hpp"
#include "report/json/ordered_json.hpp"
#include "units/colour_bands.hpp"

namespace gapwright {
namespace {

// "solderless board of 30 rows, 7 wires".
std::string plan_words(const Plan& plan) {
    const std::size_t wires = plan.wires.size();
    return fmt::format("{}, {} wire{}", board_words(plan.board), wires, wires == 1 ? "" : "s");
}

Json steps(const BuildSheet& sheet, const BuildPictures& drawn) {
    Json list = Json::array();
    for (std::size_t k = 0; k < sheet.steps.size(); ++k) {
        const BuildStep& step = sheet.steps[k];
        list.push_back(
            {{"title", step.title},
             {"check", step.is_check},
             {"lines", step.lines},
             {"picture", drawn.steps[k].empty() ? "" : drawn.steps[k][0].picture.svg(false)}});
    }
    return list;
}

Json parts(const PartsToPull& pulled) {
    Json list = Json::array();
    for (const auto& item : pulled.items) {
        list.push_back({{"names", fmt::format("{}", fmt::join(item.designators, ", "))},
                        {"text", item.look.text},
                        {"bands", item.look.bands ? colour_words(*item.look.bands) : ""},
                        {"drawer", drawer_words(item, pulled.has_drawer)},
                        {"missing", !item.missing.empty()}});
    }
    return list;
}

Json boards() {
    Json list = Json::array();
    for (const BoardKind kind : board_kinds) {
        const std::string word(board_kind_word(kind));
        list.push_back({{"name", word}, {"title", word + " board"}});
    }
    return list;
}

Json insulation(const InsulationVerdict& verdict) {
    Json list = Json::array();
    for (const auto& finding : verdict.findings) {
        list.push_back((finding.kept ? "✓ " : "✗ ") + finding.text);
    }
    return list;
}

}  // namespace

Answered<BuildMade> make_build(const BuildOrder& order, BoardTable& boards, JobProgress& progress) {
    const LinkText& source = order.source;
    const auto kind = board_kind_named(order.board);
    if (!kind) return refused(400, "there is no such board");
    progress.say("proving the link");
    BuildMade made;
    made.judged = judge(source, {.stop = progress.stop()});
    if (!made.judged.problems.empty()) {
        return refused("the link file has problems", made.judged.problems);
    }
    if (!made.judged.proof) {
        return refused(422, why_unproven(made.judged));
    }
    const Link& link = *made.judged.link;
    auto drawer = named_drawer(link.stock, source.folder);
    if (!drawer) return refused("the drawer cannot be read", drawer.error());
    PullOptions pull;
    pull.engine.stop = progress.stop();
    pull.progress = [&](const PullProgress& p) {
        progress.say(
            fmt::format("{} is missing: {} of {} others tried", p.designator, p.tried, p.all));
    };
    auto pulled = parts_to_pull(made.judged.text, source.folder, link, *drawer, pull);
    if (!pulled && !pulled.error().problems.empty()) {
        return refused("the parts cannot be looked for", pulled.error().problems);
    }
    if (!pulled) return refused(422, pulled.error().message);
    made.parts = std::move(*pulled);

    progress.say("placing parts on the board");
    Wiring wiring = wiring_of(link);
    const auto plan =
        boards.plan(order.link_id, *kind, wiring, [&] { return progress.stop().stop_requested(); });
    if (!plan) return std::unexpected(plan.error());
    if (const auto faults = read_back(table_of(**plan, wiring), wiring); !faults.empty()) {
        return refused(500, "a defect of ours: the plan does not read back: " + faults[0].text);
    }
    const auto currents = first_currents(link, *made.judged.circuit, 1, pull.engine);
    made.sheet = build_sheet({link, *made.judged.proof, currents}, std::move(wiring), **plan);
    return made;
}

Answered<Json> build_work(const BuildOrder& order, BoardTable& boards_kept, JobProgress& progress) {
    const auto made = make_build(order, boards_kept, progress);
    if (!made) return std::unexpected(made.error());
    const BuildAnswer answer = made->answer();
    const BuildPictures drawn = build_pictures(answer);
    return Json{{"board", order.board},
                {"boards", boards()},
                {"words", plan_words(made->sheet.plan)},
                {"plan", picture_list(drawn.plans)},
                {"steps", steps(made->sheet, drawn)},
                {"parts", parts(made->parts)},
                {"insulation", insulation(made->sheet.insulation)},
                {"cautions", build_cautions(answer)}};
}

Answered<Json> board_work(Workspace& workspace, OpenLink& link, const std::string& board,
                          JobProgress& progress) {
    const auto kind = board_kind_named(board);
    if (!kind) return refused(400, "there is no such board");
    const auto judged = link.judged(workspace.stamp());
    if (!judged->link) return refused(422, "this link has problems", "see Circuit");
    progress.say("placing parts on the board");
    const auto plan = workspace.boards().plan(link.id(), *kind, wiring_of(*judged->link),
                                              [&] { return progress.stop().stop_requested(); });
    if (!plan) return std::unexpected(plan.error());
    // One that was cut short is not kept, and so shown to nobody.
    if (progress.stop().stop_requested()) return refused(409, "it was stopped");
    return Json{{"board", board}, {"words", plan_words(**plan)}};
}

}  // namespace gapwright
