#include "report/verdict_text.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "link/link.hpp"
#include "proof/case.hpp"
#include "proof/influence.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "report/emitter_words.hpp"
#include "report/proof_words.hpp"
#include "report/text_table.hpp"
#include "report/words.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

class Writer {
  public:
    Writer(const Link& link, const Proof& proof, const TextStyle& style)
        : link_(link), proof_(proof), style_(style) {}

    std::string write() {
        head();
        promises();
        influences();
        ratings();
        unknown();
        levels();
        emitters();
        states();
        if (style_.steps) steps();
        not_judged();
        cautions();
        return std::move(text_);
    }

  private:
    std::string verdict(Verdict v) const { return shown_verdict(v, style_.colour); }

    void heading(std::string_view title) {
        text_ += "\n" + shown_heading(title, style_.colour) + "\n";
    }

    void head() {
        const std::string title = shown_title(link_);
        text_ += fmt::format("{}: {}\n", title, verdict(proof_.verdict));
        if (!link_.about.empty()) text_ += fmt::format("  {}\n", shown_prose(link_.about));
        const Surroundings& s = link_.surroundings;
        if (proof_.nominal_only) {
            text_ += "  nominal point only, no proof\n";
            return;
        }
        text_ += fmt::format(
            "  {} specimens drawn (seed {}), {} more in the search for the worst; {}\n",
            drawn_specimens(proof_), proof_.seed, proof_.worst_case_specimens,
            s.service > 0 ? engineering_short(s.service, Dimension::time) + " of service"
                          : std::string("no service life stated, no fading counted"));
        if (proof_.stretch) text_ += fmt::format("  {}\n", link_stretch_words(link_, proof_));
    }

    void promises() {
        heading("Promises");
        if (proof_.promises.empty()) {
            text_ += "  none stated: only ratings are checked\n";
            return;
        }
        Table table({false, false, false, true, true, false, true, false});
        table.add({"state", "quantity", "bound", "worst", "nominal", "verdict",
                   proof_.nominal_only ? "" : "stretch", proof_.nominal_only ? "" : "kept by"});
        std::vector<std::string> cases;
        for (const auto& p : proof_.promises) {
            table.add({p.state, p.quantity, promise_bounds(p), promise_value(p, p.worst().value),
                       promise_value(p, p.nominal), std::string(verdict_sign(p.verdict)),
                       shown_stretch(p.stretch), share(p)});
        }
        text_ += table.text();
        if (proof_.nominal_only) return;
        text_ += "  where the worst lies (the full list: --json)\n";
        Table where({false, false, false});
        for (const auto& p : proof_.promises) {
            where.add({"  " + p.state, p.quantity, where_text(p)});
        }
        text_ += where.text();
    }

    static std::string where_text(const PromiseResult& p) {
        if (!p.reason.empty()) return p.reason;
        const Case& where = *p.worst().where;
        if (where.empty() && p.timed && p.lowest != p.highest) return "a specimen of those drawn";
        return case_text(where);
    }

    void influences() {
        Table table({false, false, true, false, false});
        for (const auto& p : proof_.promises) {
            for (std::size_t k = 0; k < p.influences.size(); ++k) {
                const Influence& i = p.influences[k];
                const std::string then =
                    i.grade.empty() ? ""
                                    : fmt::format("{}: worst {}", i.grade,
                                                  beside(i.worst, p.worst().value, p.dimension));
                table.add({k == 0 ? p.state : "", k == 0 ? p.quantity : "",
                           share_of_spread(i.share), spoken_figure(i.name), then});
            }
        }
        if (table.empty()) return;
        heading("What matters most: share of the spread, and what a better grade would buy");
        text_ += table.text();
    }

    static std::string share(const PromiseResult& p) {
        if (p.samples == 0) return {};
        return fmt::format("{} of those drawn (at least {})", percent(p.share_kept(), 4),
                           percent(p.share_kept_low95, 4));
    }

    void ratings() {
        heading("Ratings");
        if (proof_.ratings.empty()) {
            text_ += "  no part has a limit\n";
            return;
        }
        Table table({false, false, false, false, true, true, false, true});
        table.add({"part", "limit", "state", "bound", "worst", "nominal", "verdict",
                   proof_.nominal_only ? "" : "stretch"});
        for (const auto& r : decisive_ratings(proof_)) {
            table.add({r.part, spoken_key(r.limit), r.state, rating_bound(r),
                       beside(r.worst(), r.bound, r.dimension), engineering(r.nominal, r.dimension),
                       std::string(verdict_sign(r.verdict)), shown_stretch(r.stretch)});
        }
        text_ += table.text();
    }

    void unknown() {
        const auto sentences = what_would_settle(proof_);
        if (sentences.empty()) return;
        heading("Unknown, and what would settle it");
        for (const auto& sentence : sentences) text_ += fmt::format("  - {}\n", sentence);
    }

    void levels() {
        if (proof_.levels.empty()) return;
        heading("Logic levels, nominal");
        for (const auto& level : proof_.levels) {
            std::string line;
            for (const auto& [state, word] : level.by_state) {
                line += fmt::format("{}{} in {}", line.empty() ? "" : ", ", word, state);
            }
            text_ += fmt::format("  {} reads {}\n", level.part, line);
        }
    }

    void emitters() {
        if (proof_.emitters.empty()) return;
        heading(emitters_heading(link_));
        for (const auto& emitter : proof_.emitters) {
            text_ += fmt::format("  {}  {}\n", emitter.part,
                                 fmt::join(emitter_words(link_, emitter), " · "));
        }
    }

    void states() {
        heading("Nominal point");
        std::vector<bool> right(proof_.states.size() + 1, true);
        right[0] = false;
        Table table(right);
        Table::Row head = {""};
        for (const auto& state : proof_.states) head.push_back(state.name);
        table.add(head);
        rows(table, &NominalState::currents, Dimension::current, "current ");
        rows(table, &NominalState::voltages, Dimension::voltage, "voltage ");
        text_ += table.text();
    }

    void rows(Table& table, std::vector<std::pair<std::string, double>> NominalState::* list,
              Dimension dimension, std::string_view label) const {
        const auto& first = proof_.states.front().*list;
        for (std::size_t k = 0; k < first.size(); ++k) {
            Table::Row row = {std::string(label) + first[k].first};
            for (const auto& state : proof_.states) {
                row.push_back(engineering((state.*list)[k].second, dimension));
            }
            table.add(std::move(row));
        }
    }

    void steps() {
        if (proof_.steps.empty()) return;
        heading("Worked steps, series resistors");
        for (const auto& s : proof_.steps) {
            text_ += fmt::format("  {} in state {}\n", s.resistors, s.state);
            for (const auto& line : s.lines) text_ += fmt::format("    {}\n", line);
        }
    }

    void not_judged() {
        if (proof_.not_judged.empty()) return;
        heading("Not judged");
        for (const auto& one : proof_.not_judged) {
            text_ += fmt::format("  - {}, {}: {}\n", one.what, one.state, one.reason);
        }
    }

    void cautions() {
        if (proof_.cautions.empty()) return;
        heading("Cautions");
        for (const auto& caution : proof_.cautions) text_ += fmt::format("  - {}\n", caution.text);
    }

    const Link& link_;
    const Proof& proof_;
    const TextStyle& style_;
    std::string text_;
};

}  // namespace

std::string verdict_text(const Link& link, const Proof& proof, const TextStyle& style) {
    return Writer(link, proof, style).write();
}

}  // namespace gapwright
