#include "report/text/verdict_text.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/key.hpp"
#include "link/link.hpp"
#include "proof/cases/case.hpp"
#include "proof/cases/influence.hpp"
#include "proof/proof.hpp"
#include "report/text/text_table.hpp"
#include "report/words/emitter_words.hpp"
#include "report/words/proof_words.hpp"
#include "report/words/words.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

std::string head(const Link& link, const Proof& proof, bool colour) {
    std::string text =
        fmt::format("{}: {}\n", shown_title(link), shown_verdict(proof.verdict, colour));
    if (!link.about.empty()) text += fmt::format("  {}\n", shown_prose(link.about));
    if (proof.nominal_only) return text + "  nominal point only, no proof\n";
    const double service = link.surroundings.service;
    text += fmt::format("  {} specimens drawn (seed {}), {} more in the search for the worst; {}\n",
                        drawn_specimens(proof), proof.seed, proof.worst_case_specimens,
                        service > 0 ? engineering_short(service, Dimension::time) + " of service"
                                    : std::string("no service life stated, no fading counted"));
    if (proof.stretch) text += fmt::format("  {}\n", link_stretch_words(link, proof));
    return text;
}

std::string where_text(const PromiseResult& p) {
    if (!p.reason.empty()) return p.reason;
    const Case& where = *p.worst().where;
    if (where.empty() && p.timed && p.lowest != p.highest) return "a specimen of those drawn";
    return case_text(where);
}

std::string share(const PromiseResult& p) {
    if (p.samples == 0) return {};
    return fmt::format("{} of those drawn (at least {})", percent(p.share_kept(), 4),
                       percent(p.share_kept_low95, 4));
}

std::string promises(const Proof& proof) {
    if (proof.promises.empty()) return "  none stated: only ratings are checked\n";
    Table table({false, false, false, true, true, false, true, false});
    table.add({"state", "quantity", "bound", "worst", "nominal", "verdict",
               proof.nominal_only ? "" : "stretch", proof.nominal_only ? "" : "kept by"});
    for (const auto& p : proof.promises) {
        table.add({p.state, p.quantity, promise_bounds(p), promise_value(p, p.worst().value),
                   promise_value(p, p.nominal), std::string(verdict_sign(p.verdict)),
                   shown_stretch(p.stretch), share(p)});
    }
    if (proof.nominal_only) return table.text();
    Table where({false, false, false});
    for (const auto& p : proof.promises) where.add({"  " + p.state, p.quantity, where_text(p)});
    return table.text() + "  where the worst lies (the full list: --json)\n" + where.text();
}

std::string influences(const Proof& proof) {
    Table table({false, false, true, false, false});
    for (const auto& p : proof.promises) {
        for (std::size_t k = 0; k < p.influences.size(); ++k) {
            const Influence& i = p.influences[k];
            const std::string then =
                i.grade.empty() ? ""
                                : fmt::format("{}: worst {}", i.grade,
                                              beside(i.worst, p.worst().value, p.dimension));
            table.add({k == 0 ? p.state : "", k == 0 ? p.quantity : "", share_of_spread(i.share),
                       spoken_figure(i.name), then});
        }
    }
    return table.empty() ? "" : table.text();
}

std::string ratings(const Proof& proof) {
    if (proof.ratings.empty()) return "  no part has a limit\n";
    Table table({false, false, false, false, true, true, false, true});
    table.add({"part", "limit", "state", "bound", "worst", "nominal", "verdict",
               proof.nominal_only ? "" : "stretch"});
    for (const auto& r : decisive_ratings(proof)) {
        table.add({r.part, spoken_key(r.limit), r.state, rating_bound(r),
                   beside(r.worst(), r.bound, r.dimension), engineering(r.nominal, r.dimension),
                   std::string(verdict_sign(r.verdict)), shown_stretch(r.stretch)});
    }
    return table.text();
}

std::string unknown(const Proof& proof) {
    std::string text;
    for (const auto& sentence : what_would_settle(proof)) text += fmt::format("  - {}\n", sentence);
    return text;
}

std::string levels(const Proof& proof) {
    std::string text;
    for (const auto& level : proof.levels) {
        std::string line;
        for (const auto& [state, word] : level.by_state) {
            line += fmt::format("{}{} in {}", line.empty() ? "" : ", ", word, state);
        }
        text += fmt::format("  {} reads {}\n", level.part, line);
    }
    return text;
}

std::string emitters(const Link& link, const Proof& proof) {
    std::string text;
    for (const auto& emitter : proof.emitters) {
        text +=
            fmt::format("  {}  {}\n", emitter.part, fmt::join(emitter_words(link, emitter), " · "));
    }
    return text;
}

// Adds a row for each quantity of a list, with its value in every state.
void add_rows(Table& table, const std::vector<NominalState>& states,
              std::vector<std::pair<std::string, double>> NominalState::* list, Dimension dimension,
              std::string_view label) {
    const auto& first = states.front().*list;
    for (std::size_t k = 0; k < first.size(); ++k) {
        Table::Row row = {std::string(label) + first[k].first};
        for (const auto& state : states) {
            row.push_back(engineering((state.*list)[k].second, dimension));
        }
        table.add(std::move(row));
    }
}

std::string nominal_point(const Proof& proof) {
    std::vector<bool> right(proof.states.size() + 1, true);
    right[0] = false;
    Table table(right);
    Table::Row head = {""};
    for (const auto& state : proof.states) head.push_back(state.name);
    table.add(head);
    add_rows(table, proof.states, &NominalState::currents, Dimension::current, "current ");
    add_rows(table, proof.states, &NominalState::voltages, Dimension::voltage, "voltage ");
    return table.text();
}

std::string steps(const Proof& proof) {
    std::string text;
    for (const auto& s : proof.steps) {
        text += fmt::format("  {} in state {}\n", s.resistors, s.state);
        for (const auto& line : s.lines) text += fmt::format("    {}\n", line);
    }
    return text;
}

std::string not_judged(const Proof& proof) {
    std::string text;
    for (const auto& one : proof.not_judged) {
        text += fmt::format("  - {}, {}: {}\n", one.what, one.state, one.reason);
    }
    return text;
}

std::string cautions(const Proof& proof) {
    std::string text;
    for (const auto& caution : proof.cautions) text += fmt::format("  - {}\n", caution.text);
    return text;
}

}  // namespace

std::string verdict_text(const Link& link, const Proof& proof, const TextStyle& style) {
    const auto section = [&](std::string_view title, const std::string& text) {
        return shown_section(title, text, style.colour);
    };
    return head(link, proof, style.colour) + section("Promises", promises(proof)) +
           section("What matters most: share of the spread, and what a better grade would buy",
                   influences(proof)) +
           section("Ratings", ratings(proof)) +
           section("Unknown, and what would settle it", unknown(proof)) +
           section("Logic levels, nominal", levels(proof)) +
           section(emitters_heading(link), emitters(link, proof)) +
           section("Nominal point", nominal_point(proof)) +
           section("Worked steps, series resistors", style.steps ? steps(proof) : "") +
           section("Not judged", not_judged(proof)) + section("Cautions", cautions(proof));
}

}  // namespace gapwright
