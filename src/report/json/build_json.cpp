// What `gapwright build --json` prints.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cstddef>
#include <string>
#include <vector>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "build/build_sheet.hpp"
#include "build/insulation.hpp"
#include "build/parts_to_pull.hpp"
#include "link/link.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "report/build_report.hpp"
#include "report/json/json_parts.hpp"
#include "report/json/ordered_json.hpp"
#include "report/words/words.hpp"
#include "units/colour_bands.hpp"

namespace gapwright {
namespace {

Json places(const Wiring& wiring, const Plan& plan) {
    Json pins = Json::array();
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        const WiringPart& part = wiring.parts[k];
        for (std::size_t p = 0; p < part.pins.size(); ++p) {
            const auto& node = part.pins[p].node;
            pins.push_back({{"part", part.name},
                            {"pin", part.pins[p].name},
                            {"side", side_name(side_of_pin(part, p))},
                            {"node", node ? Json(wiring.nodes[*node].name) : Json()},
                            {"hole", hole_name(plan.board, plan.holes[k][p])},
                            {"lead", part.footprint.body == Body::leads}});
        }
    }
    return pins;
}

Json wires_json(const Wiring& wiring, const Plan& plan) {
    Json wires = Json::array();
    for (const auto& wire : plan.wires) {
        wires.push_back({{"from", hole_name(plan.board, wire.from)},
                         {"to", hole_name(plan.board, wire.to)},
                         {"side", side_name(wiring.nodes[wire.node].side)},
                         {"node", wiring.nodes[wire.node].name},
                         {"length", length_of(wire)},
                         {"insulated", wire.insulated}});
    }
    return wires;
}

Json insulation_json(const InsulationVerdict& verdict) {
    Json findings = Json::array();
    for (const auto& f : verdict.findings) {
        findings.push_back({{"id", f.id},
                            {"what", f.what},
                            {"found", f.found},
                            {"required", f.required},
                            {"verdict", f.kept ? "kept" : "broken"}});
    }
    Json object = {{"verdict", verdict.kept() ? "kept" : "broken"}, {"findings", findings}};
    if (verdict.required) {
        object["clearance"] = verdict.required->clearance;
        object["creepage"] = verdict.required->creepage;
        object["steps"] = verdict.required->steps;
    }
    return object;
}

Json board_json(const BuildAnswer& answer) {
    const BuildSheet& sheet = answer.sheet;
    Json cuts = Json::array();
    for (const Hole cut : sheet.plan.cuts) cuts.push_back(hole_name(sheet.plan.board, cut));
    Json steps = Json::array();
    for (const auto& step : sheet.steps) {
        steps.push_back({{"title", step.title}, {"check", step.is_check}, {"lines", step.lines}});
    }
    Json cautions = Json::array();
    for (const auto& c : sheet.insulation.cautions) cautions.push_back(c.text);
    return {{"board", board_kind_word(sheet.plan.board.kind)},
            {"rows", sheet.plan.board.rows},
            {"columns", sheet.plan.board.columns},
            {"wire_length", wire_length(sheet.plan)},
            {"crossing_wires", crossing_wires(sheet.plan)},
            {"between_sides", sheet.nearest ? Json(sheet.nearest->metres) : Json()},
            {"pins", places(sheet.wiring, sheet.plan)},
            {"wires", wires_json(sheet.wiring, sheet.plan)},
            {"cuts", cuts},
            {"isolation", insulation_json(sheet.insulation)},
            {"steps", steps},
            {"cautions", cautions}};
}

Json parts_json(const PartsToPull& parts) {
    Json items = Json::array();
    for (const auto& item : parts.items) {
        Json lines = Json::array();
        for (const auto& source : item.sources) lines.push_back(source.line);
        items.push_back({{"parts", item.designators},
                         {"what", item.look.text},
                         {"bands", item.look.bands ? Json(colour_words(*item.look.bands)) : Json()},
                         {"marking", item.look.marking},
                         {"off_board", item.off_board},
                         {"drawer_lines", lines},
                         {"missing", item.missing},
                         {"drawer", drawer_words(item, parts.has_drawer)}});
    }
    return items;
}

}  // namespace

std::string build_json(const std::vector<BuildAnswer>& answers) {
    const BuildAnswer& first = answers.front();
    Json boards = Json::array();
    for (const auto& answer : answers) boards.push_back(board_json(answer));
    return text_of(Json{{"title", first.link.title},
                        {"verdict", verdict_name(first.proof.verdict)},
                        {"parts", parts_json(first.parts)},
                        {"boards", boards}});
}

}  // namespace gapwright
