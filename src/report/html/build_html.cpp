#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cstddef>
#include <filesystem>
#include <string>
#include <vector>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "build/insulation.hpp"
#include "build/parts_to_pull.hpp"
#include "build/steps.hpp"
#include "link/link.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "report/build_report.hpp"
#include "report/html/html_report.hpp"
#include "report/html/html_writer.hpp"
#include "report/words/words.hpp"
#include "units/colour_bands.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

std::string millimetres(double metres) {
    return fmt::format("{:.1f} mm", metres * 1e3);
}

void title_block(HtmlWriter& html, const BuildAnswer& answer, const std::string& title) {
    html.put(fmt::format("<header>\n<h1>{}: build sheet</h1>\n<p class=\"about\">{}</p>\n",
                         HtmlWriter::text(title), HtmlWriter::text(answer.link.about)));
    html.put(fmt::format("<p class=\"verdict {0}\">Link: <strong>{1}</strong></p>\n",
                         verdict_name(answer.proof.verdict), verdict_sign(answer.proof.verdict)));
    const Plan& plan = answer.sheet.plan;
    html.put("<dl class=\"block\">\n");
    html.field("Link file", std::filesystem::path(answer.link.file).filename().string());
    html.field("Board", board_words(plan.board));
    html.field("Wires", fmt::format("{}, {} from hole to hole in all", plan.wires.size(),
                                    millimetres(wire_length(plan))));
    html.field("Read back", "the same circuit, sides apart");
    html.field(
        "Metal of one side to metal of the other",
        answer.sheet.nearest ? millimetres(answer.sheet.nearest->metres) : "no metal on one side");
    html.field("Working voltage", answer.link.surroundings.working_voltage
                                      ? engineering_short(*answer.link.surroundings.working_voltage,
                                                          Dimension::voltage)
                                      : "not stated");
    html.put("</dl>\n</header>\n");
}

void cautions(HtmlWriter& html, const BuildAnswer& answer) {
    const auto lines = build_cautions(answer);
    if (lines.empty()) return;
    html.put("<section class=\"cautions\">\n<h2>Cautions</h2>\n");
    html.list(lines);
    html.put("</section>\n");
}

void parts_table(HtmlWriter& html, const PartsToPull& parts, bool off_board,
                 std::string_view caption) {
    const auto wanted = [&](const PullItem& item) { return item.off_board == off_board; };
    if (std::ranges::none_of(parts.items, wanted)) return;
    html.put(fmt::format("<h3>{}</h3>\n", caption));
    if (off_board) {
        html.table_head({"Part", "What", "Drawer"}, caption);
    } else {
        html.table_head({"Part", "Count", "What", "Bands", "Marking", "Drawer"}, caption);
    }
    for (const auto& item : parts.items) {
        if (!wanted(item)) continue;
        const std::string names = fmt::format("{}", fmt::join(item.designators, ", "));
        const std::string drawer =
            fmt::format("{}", fmt::join(drawer_words(item, parts.has_drawer), "; "));
        if (off_board) {
            html.table_row({names, item.look.text, drawer});
        } else {
            html.table_row({names, std::to_string(item.designators.size()), item.look.text,
                            item.look.bands ? colour_words(*item.look.bands) : "",
                            item.look.marking, drawer});
        }
    }
    html.table_end();
}

void parts_to_pull(HtmlWriter& html, const PartsToPull& parts,
                   const std::vector<NamedPicture>& resistors) {
    html.put("<section>\n<h2>Parts to pull</h2>\n");
    parts_table(html, parts, false, "From the drawer");
    parts_table(html, parts, true, "Equipment beside the board, joined by leads");
    if (!resistors.empty()) {
        html.put("<div class=\"beside\">\n");
        for (const auto& picture : resistors) html.figure(picture);
        html.put("</div>\n");
    }
    html.put("</section>\n");
}

void legend(HtmlWriter& html, BoardKind kind) {
    html.put(fmt::format(
        "<p class=\"about\">Filled dots are pins, ringed dots leads that leave the board along "
        "the dotted lines. Thick lines are wires{}. The gap is hatched: no metal may be in it."
        "{}</p>\n",
        kind == BoardKind::grid ? ", dashed where they run on the other face" : "",
        kind == BoardKind::strip        ? " Crossed circles are cuts."
        : kind == BoardKind::solderless ? " L+7 is row 7 of the left rail that is marked +; "
                                          "any other free hole of the same "
                                          "rail does as well."
                                        : ""));
}

void insulation(HtmlWriter& html, const InsulationVerdict& verdict) {
    html.put("<section>\n<h2>Isolation on the board</h2>\n");
    if (!verdict.findings.empty()) {
        html.table_head({"What", "Found", "Required", "Verdict"}, "Isolation");
        for (const auto& f : verdict.findings) {
            const auto shown = [&](double value) {
                return f.dimension == Dimension::length ? millimetres(value)
                                                        : engineering_short(value, f.dimension);
            };
            html.table_row({f.what, shown(f.found), shown(f.required),
                            std::string(verdict_sign(f.kept ? Verdict::kept : Verdict::broken))},
                           verdict_name(f.kept ? Verdict::kept : Verdict::broken));
        }
        html.table_end();
    }
    if (verdict.required) {
        html.put("<h3>How the distances were found</h3>\n");
        html.list(verdict.required->steps);
    }
    html.put("</section>\n");
}

void steps(HtmlWriter& html, const BuildSheet& sheet, const BuildPictures& pictures) {
    html.put("<section>\n<h2>Steps</h2>\n<div class=\"build-steps\">\n");
    for (std::size_t k = 0; k < sheet.steps.size(); ++k) {
        const BuildStep& step = sheet.steps[k];
        html.put(fmt::format(
            "<article class=\"{}\">\n<h3>{}. {}{}</h3>\n", step.is_check ? "stop" : "step", k + 1,
            step.is_check ? "Stop and check: " : "", HtmlWriter::text(step.title)));
        html.list(step.lines);
        for (const auto& picture : pictures.steps[k]) html.figure(picture);
        html.put("</article>\n");
    }
    html.put("</div>\n</section>\n");
}

void nodes(HtmlWriter& html, const BuildSheet& sheet) {
    html.put("<section>\n<h2>Nodes and their holes</h2>\n");
    html.table_head({"Side", "Node", "Holes"}, "Nodes and their holes");
    for (std::size_t n = 0; n < sheet.wiring.nodes.size(); ++n) {
        const auto holes = node_holes(sheet.wiring, sheet.plan, n);
        if (holes.empty()) continue;
        html.table_row({std::string(side_name(sheet.wiring.nodes[n].side)),
                        sheet.wiring.nodes[n].name, fmt::format("{}", fmt::join(holes, ", "))});
    }
    html.table_end();
    html.put("</section>\n");
}

void wires(HtmlWriter& html, const BuildSheet& sheet) {
    const Plan& plan = sheet.plan;
    if (plan.wires.empty()) return;
    html.put("<section>\n<h2>Wires</h2>\n");
    html.table_head({"Wire", "From", "To", "Node", "Hole to hole", "Cut to"}, "Wires");
    // Ends go down through the board, or into a spring.
    const double end = plan.board.kind == BoardKind::solderless ? 7e-3 : 4e-3;
    for (std::size_t w = 0; w < plan.wires.size(); ++w) {
        const PlanWire& wire = plan.wires[w];
        html.table_row({fmt::format("{}{}", w + 1, wire.insulated ? ", insulated" : ""),
                        hole_name(plan.board, wire.from), hole_name(plan.board, wire.to),
                        sheet.wiring.nodes[wire.node].name, millimetres(length_of(wire)),
                        fmt::format("{:.0f} mm", (length_of(wire) + 2 * end) * 1e3)});
    }
    html.table_end();
    html.put("</section>\n");
}

}  // namespace

std::string build_html(const BuildAnswer& answer, const BuildPictures& pictures) {
    const std::string title = answer.link.title.empty() ? answer.link.file : answer.link.title;
    const BuildSheet& sheet = answer.sheet;
    HtmlWriter html;
    html.head(title + ": build sheet");
    title_block(html, answer, title);
    cautions(html, answer);
    parts_to_pull(html, answer.parts, pictures.resistors);
    html.section("Board plan", pictures.plans, "figures");
    legend(html, sheet.plan.board.kind);
    insulation(html, sheet.insulation);
    steps(html, sheet, pictures);
    nodes(html, sheet);
    wires(html, sheet);
    html.section("Schematic", pictures.schematic, "figures");
    return html.finish();
}

}  // namespace gapwright
