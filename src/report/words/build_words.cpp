// Sentences and tables of a build sheet.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <vector>

#include "board/board.hpp"
#include "board/wiring.hpp"
#include "build/parts_to_pull.hpp"
#include "link/link.hpp"
#include "proof/cautions/cautions.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "report/build_report.hpp"
#include "report/words/words.hpp"
#include "source/csv_document.hpp"
#include "units/colour_bands.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

std::string source_words(const DrawerSource& source) {
    return fmt::format("line {} of the drawer{}", source.line,
                       source.note.empty() ? "" : " (" + source.note + ")");
}

std::string search_words(const ReplacementSearch& search) {
    switch (search.end) {
        case SearchEnd::found: {
            std::vector<std::string> where;
            for (const auto& source : search.found->sources) {
                where.push_back(source_words(source));
            }
            return fmt::format(
                "{} is missing; {} in its place keeps everything ({}, least reserve "
                "{}: {} in {}), {}",
                search.designator, search.found->text, verdict_name(search.found->verdict),
                percent(search.found->least.reserve, 3), search.found->least.subject,
                search.found->least.state, fmt::join(where, " and "));
        }
        case SearchEnd::none_keeps: {
            std::string nearest;
            if (search.nearest) {
                const auto& miss = search.passed_over[*search.nearest];
                nearest = miss.broke ? fmt::format("; nearest {}, which breaks {} in {}", miss.text,
                                                   miss.broke->subject, miss.broke->state)
                                     : fmt::format("; nearest {}", miss.text);
            }
            return fmt::format(
                "{} is missing, and none of {} others in the drawer keeps "
                "everything{}",
                search.designator, search.passed_over.size(), nearest);
        }
        case SearchEnd::none_at_hand:
            return fmt::format("{} is missing, and the drawer has nothing like it",
                               search.designator);
        case SearchEnd::not_looked_for:
            return fmt::format(
                "{} is missing; what may stand in for it is not looked for: its "
                "figures stand in the link itself",
                search.designator);
        case SearchEnd::link_broken:
            break;
    }
    return fmt::format(
        "{} is missing; what may stand in for it is not looked for: the link itself "
        "does not hold",
        search.designator);
}

}  // namespace

std::string board_words(const Board& board) {
    if (board.kind == BoardKind::solderless) {
        return fmt::format("solderless board of {} rows", board.rows);
    }
    return board.kind == BoardKind::strip
               ? fmt::format("strip board of {} strips with {} holes each", board.rows,
                             board.columns)
               : fmt::format("grid board of {} rows with {} holes each", board.rows, board.columns);
}

std::vector<std::string> drawer_words(const PullItem& item, bool has_drawer) {
    std::vector<std::string> words;
    for (const auto& source : item.sources) {
        const std::string which = item.sources.size() > 1 || !item.missing.empty()
                                      ? fmt::format("{}: ", fmt::join(source.designators, ", "))
                                      : "";
        words.push_back(which + source_words(source));
    }
    if (item.off_board) {
        if (words.empty()) words.push_back("stands off the board");
        return words;
    }
    if (!has_drawer) return {"to be bought"};
    for (const auto& search : item.instead) words.push_back(search_words(search));
    if (item.instead.empty() && !item.missing.empty()) {
        words.push_back(fmt::format("{}: not in the drawer", fmt::join(item.missing, ", ")));
    }
    return words;
}

std::vector<std::string> build_cautions(const BuildAnswer& answer) {
    std::vector<std::string> lines;
    const bool solderless = answer.sheet.plan.board.kind == BoardKind::solderless;
    const auto add = [&](const std::vector<Caution>& cautions) {
        for (const auto& c : cautions) {
            if (c.id == "solderless-board" && !solderless) continue;
            if (std::ranges::find(lines, c.text) == lines.end()) lines.push_back(c.text);
        }
    };
    add(answer.sheet.insulation.cautions);
    add(answer.proof.cautions);
    if (answer.proof.verdict == Verdict::broken) {
        lines.insert(lines.begin(),
                     "The link as it stands breaks a promise or rating: mend it before building "
                     "it (gapwright check).");
    }
    return lines;
}

std::string parts_csv(const PartsToPull& parts) {
    std::string csv = "designators,count,part,bands,marking,line,missing,instead\r\n";
    for (const auto& item : parts.items) {
        std::vector<std::size_t> lines;
        for (const auto& source : item.sources) lines.push_back(source.line);
        std::vector<std::string> instead;
        for (const auto& search : item.instead) {
            if (search.found) instead.push_back(search.found->text);
        }
        csv += csv_line({fmt::format("{}", fmt::join(item.designators, " ")),
                         std::to_string(item.designators.size()), item.look.text,
                         item.look.bands ? colour_words(*item.look.bands) : "", item.look.marking,
                         fmt::format("{}", fmt::join(lines, " ")),
                         fmt::format("{}", fmt::join(item.missing, " ")),
                         fmt::format("{}", fmt::join(instead, "; "))});
    }
    return csv;
}

std::vector<std::string> node_holes(const Wiring& wiring, const Plan& plan, std::size_t node) {
    std::vector<std::string> holes;
    for (std::size_t k = 0; k < wiring.parts.size(); ++k) {
        for (std::size_t p = 0; p < wiring.parts[k].pins.size(); ++p) {
            if (wiring.parts[k].pins[p].node != node) continue;
            holes.push_back(fmt::format("{} ({} {})", hole_name(plan.board, plan.holes[k][p]),
                                        wiring.parts[k].name, wiring.parts[k].pins[p].name));
        }
    }
    for (std::size_t w = 0; w < plan.wires.size(); ++w) {
        if (plan.wires[w].node != node) continue;
        for (const Hole end : {plan.wires[w].from, plan.wires[w].to}) {
            holes.push_back(fmt::format("{} (wire {})", hole_name(plan.board, end), w + 1));
        }
    }
    return holes;
}

std::string nodes_csv(const Wiring& wiring, const Plan& plan) {
    std::string csv = "side,node,holes\r\n";
    for (std::size_t n = 0; n < wiring.nodes.size(); ++n) {
        const auto holes = node_holes(wiring, plan, n);
        if (holes.empty()) continue;
        csv += csv_line({std::string(side_name(wiring.nodes[n].side)), wiring.nodes[n].name,
                         fmt::format("{}", fmt::join(holes, " "))});
    }
    return csv;
}

}  // namespace gapwright
