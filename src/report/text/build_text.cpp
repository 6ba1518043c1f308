// What `gapwright build` prints.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <string>
#include <vector>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "build/insulation.hpp"
#include "build/parts_to_pull.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "report/build_report.hpp"
#include "report/text/text_table.hpp"
#include "report/words/words.hpp"
#include "units/colour_bands.hpp"

namespace gapwright {
namespace {

std::string isolation_word(const InsulationVerdict& verdict, bool colour) {
    return shown_verdict(verdict.kept() ? Verdict::kept : Verdict::broken, colour);
}

}  // namespace

std::string build_text(const std::vector<BuildAnswer>& answers, bool colour) {
    const BuildAnswer& first = answers.front();
    std::string text = fmt::format("{}: {}\n", shown_title(first.link),
                                   shown_verdict(first.proof.verdict, colour));
    text += fmt::format("\n{}\n", shown_heading("Boards", colour));
    Table boards({false, false, true, true, true, false});
    boards.add({"board", "size", "wires", "length", "sides apart", "isolation"});
    for (const auto& answer : answers) {
        const Plan& plan = answer.sheet.plan;
        const auto crossing = crossing_wires(plan);
        boards.add({std::string(board_kind_word(plan.board.kind)), board_words(plan.board),
                    crossing ? fmt::format("{} ({} cross)", plan.wires.size(), crossing)
                             : std::to_string(plan.wires.size()),
                    fmt::format("{:.0f} mm", wire_length(plan) * 1e3),
                    answer.sheet.nearest
                        ? fmt::format("{:.1f} mm", answer.sheet.nearest->metres * 1e3)
                        : "",
                    isolation_word(answer.sheet.insulation, colour)});
    }
    text += boards.text();
    text += fmt::format("\n{}\n", shown_heading("Parts to pull", colour));
    Table parts({false, false, false, false});
    parts.add({"part", "what", "bands", "drawer"});
    for (const auto& item : first.parts.items) {
        parts.add({fmt::format("{}", fmt::join(item.designators, ", ")), item.look.text,
                   item.look.bands ? colour_words(*item.look.bands) : "",
                   fmt::format("{}", fmt::join(drawer_words(item, first.parts.has_drawer), "; "))});
    }
    text += parts.text();
    std::vector<std::string> broken;
    std::vector<std::string> cautions;
    const auto add = [](std::vector<std::string>& list, const std::string& line) {
        if (std::ranges::find(list, line) == list.end()) list.push_back(line);
    };
    for (const auto& answer : answers) {
        for (const auto& f : answer.sheet.insulation.findings) {
            if (f.kept) continue;
            add(broken,
                fmt::format("{} board: {}", board_kind_word(answer.sheet.plan.board.kind), f.text));
        }
        for (const auto& c : answer.sheet.insulation.cautions) add(cautions, c.text);
    }
    if (!broken.empty()) {
        text += fmt::format("\n{}\n", shown_heading("Isolation that is not kept", colour));
        for (const auto& line : broken) text += fmt::format("  - {}\n", line);
    }
    text += fmt::format("\n{}\n", shown_heading("Cautions", colour));
    for (const auto& line : cautions) text += fmt::format("  - {}\n", line);
    return text;
}

}  // namespace gapwright
