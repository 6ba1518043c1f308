#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cstddef>
#include <filesystem>
#include <string>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "build/parts_to_pull.hpp"
#include "build/steps.hpp"
#include "link/link.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "report/build_report.hpp"
#include "report/html_writer.hpp"
#include "report/words.hpp"
#include "units/colour_bands.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

class Sheet {
  public:
    Sheet(const BuildAnswer& answer, const BuildPictures& pictures)
        : link_(answer.link),
          proof_(answer.proof),
          parts_(answer.parts),
          sheet_(answer.sheet),
          pictures_(pictures) {}

    std::string write() {
        const std::string title = link_.title.empty() ? link_.file : link_.title;
        html_.head(title + ": build sheet");
        title_block(title);
        cautions();
        parts_to_pull();
        html_.section("Board plan", pictures_.plans, "figures");
        legend();
        insulation();
        steps();
        nodes();
        wires();
        html_.section("Schematic", pictures_.schematic, "figures");
        return html_.finish();
    }

  private:
    static std::string millimetres(double metres) { return fmt::format("{:.1f} mm", metres * 1e3); }

    void title_block(const std::string& title) {
        html_.put(fmt::format("<header>\n<h1>{}: build sheet</h1>\n<p class=\"about\">{}</p>\n",
                              HtmlWriter::text(title), HtmlWriter::text(link_.about)));
        html_.put(fmt::format("<p class=\"verdict {0}\">Link: <strong>{1}</strong></p>\n",
                              verdict_name(proof_.verdict), verdict_sign(proof_.verdict)));
        const Plan& plan = sheet_.plan;
        html_.put("<dl class=\"block\">\n");
        html_.field("Link file", std::filesystem::path(link_.file).filename().string());
        html_.field("Board", board_words(plan.board));
        html_.field("Wires", fmt::format("{}, {} from hole to hole in all", plan.wires.size(),
                                         millimetres(wire_length(plan))));
        html_.field("Read back", "the same circuit, sides apart");
        html_.field("Metal of one side to metal of the other",
                    sheet_.nearest ? millimetres(sheet_.nearest->metres) : "no metal on one side");
        html_.field("Working voltage",
                    link_.surroundings.working_voltage
                        ? engineering_short(*link_.surroundings.working_voltage, Dimension::voltage)
                        : "not stated");
        html_.put("</dl>\n</header>\n");
    }

    void cautions() {
        const auto lines = build_cautions({link_, proof_, parts_, sheet_});
        if (lines.empty()) return;
        html_.put("<section class=\"cautions\">\n<h2>Cautions</h2>\n");
        html_.list(lines);
        html_.put("</section>\n");
    }

    void parts_to_pull() {
        html_.put("<section>\n<h2>Parts to pull</h2>\n");
        parts_table(false, "From the drawer");
        parts_table(true, "Equipment beside the board, joined by leads");
        if (!pictures_.resistors.empty()) {
            html_.put("<div class=\"beside\">\n");
            for (const auto& picture : pictures_.resistors) html_.figure(picture);
            html_.put("</div>\n");
        }
        html_.put("</section>\n");
    }

    void parts_table(bool off_board, std::string_view caption) {
        const auto wanted = [&](const PullItem& item) { return item.off_board == off_board; };
        if (std::ranges::none_of(parts_.items, wanted)) return;
        html_.put(fmt::format("<h3>{}</h3>\n", caption));
        if (off_board) {
            html_.table_head({"Part", "What", "Drawer"}, caption);
        } else {
            html_.table_head({"Part", "Count", "What", "Bands", "Marking", "Drawer"}, caption);
        }
        for (const auto& item : parts_.items) {
            if (!wanted(item)) continue;
            const std::string names = fmt::format("{}", fmt::join(item.designators, ", "));
            const std::string drawer =
                fmt::format("{}", fmt::join(drawer_words(item, parts_.has_drawer), "; "));
            if (off_board) {
                html_.table_row({names, item.look.text, drawer});
            } else {
                html_.table_row({names, std::to_string(item.designators.size()), item.look.text,
                                 item.look.bands ? colour_words(*item.look.bands) : "",
                                 item.look.marking, drawer});
            }
        }
        html_.table_end();
    }

    void legend() {
        const BoardKind kind = sheet_.plan.board.kind;
        html_.put(fmt::format(
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

    void insulation() {
        const auto& verdict = sheet_.insulation;
        html_.put("<section>\n<h2>Isolation on the board</h2>\n");
        if (!verdict.findings.empty()) {
            html_.table_head({"What", "Found", "Required", "Verdict"}, "Isolation");
            for (const auto& f : verdict.findings) {
                const auto shown = [&](double value) {
                    return f.dimension == Dimension::length ? millimetres(value)
                                                            : engineering_short(value, f.dimension);
                };
                html_.table_row(
                    {f.what, shown(f.found), shown(f.required),
                     std::string(verdict_sign(f.kept ? Verdict::kept : Verdict::broken))},
                    verdict_name(f.kept ? Verdict::kept : Verdict::broken));
            }
            html_.table_end();
        }
        if (verdict.required) {
            html_.put("<h3>How the distances were found</h3>\n");
            html_.list(verdict.required->steps);
        }
        html_.put("</section>\n");
    }

    void steps() {
        html_.put("<section>\n<h2>Steps</h2>\n<div class=\"build-steps\">\n");
        for (std::size_t k = 0; k < sheet_.steps.size(); ++k) {
            const BuildStep& step = sheet_.steps[k];
            html_.put(fmt::format(
                "<article class=\"{}\">\n<h3>{}. {}{}</h3>\n", step.is_check ? "stop" : "step",
                k + 1, step.is_check ? "Stop and check: " : "", HtmlWriter::text(step.title)));
            html_.list(step.lines);
            for (const auto& picture : pictures_.steps[k]) html_.figure(picture);
            html_.put("</article>\n");
        }
        html_.put("</div>\n</section>\n");
    }

    void nodes() {
        html_.put("<section>\n<h2>Nodes and their holes</h2>\n");
        html_.table_head({"Side", "Node", "Holes"}, "Nodes and their holes");
        for (std::size_t n = 0; n < sheet_.wiring.nodes.size(); ++n) {
            const auto holes = node_holes(sheet_.wiring, sheet_.plan, n);
            if (holes.empty()) continue;
            html_.table_row({std::string(side_name(sheet_.wiring.nodes[n].side)),
                             sheet_.wiring.nodes[n].name,
                             fmt::format("{}", fmt::join(holes, ", "))});
        }
        html_.table_end();
        html_.put("</section>\n");
    }

    void wires() {
        const Plan& plan = sheet_.plan;
        if (plan.wires.empty()) return;
        html_.put("<section>\n<h2>Wires</h2>\n");
        html_.table_head({"Wire", "From", "To", "Node", "Hole to hole", "Cut to"}, "Wires");
        // Ends go down through the board, or into a spring.
        const double end = plan.board.kind == BoardKind::solderless ? 7e-3 : 4e-3;
        for (std::size_t w = 0; w < plan.wires.size(); ++w) {
            const PlanWire& wire = plan.wires[w];
            html_.table_row({fmt::format("{}{}", w + 1, wire.insulated ? ", insulated" : ""),
                             hole_name(plan.board, wire.from), hole_name(plan.board, wire.to),
                             sheet_.wiring.nodes[wire.node].name, millimetres(length_of(wire)),
                             fmt::format("{:.0f} mm", (length_of(wire) + 2 * end) * 1e3)});
        }
        html_.table_end();
        html_.put("</section>\n");
    }

    const Link& link_;
    const Proof& proof_;
    const PartsToPull& parts_;
    const BuildSheet& sheet_;
    const BuildPictures& pictures_;
    HtmlWriter html_;
};

}  // namespace

std::string build_html(const BuildAnswer& answer, const BuildPictures& pictures) {
    return Sheet(answer, pictures).write();
}

}  // namespace gapwright
