#include "report/html_report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <filesystem>
#include <string>
#include <string_view>
#include <utility>

#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "link/link.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "report/html_writer.hpp"
#include "report/schematic_view.hpp"
#include "report/words.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

class Writer {
  public:
    Writer(const Link& link, const Proof& proof, const ReportContents& contents,
           std::string_view source)
        : link_(link), proof_(proof), contents_(contents), source_(source) {}

    std::string write() {
        html_.head(fmt::format("{}: {}", title(), verdict_name(proof_.verdict)));
        title_block();
        cautions();
        html_.section("Schematic", contents_.schematics);
        promises();
        influences();
        ratings();
        html_.section("Margins", contents_.margins);
        steps();
        html_.section("Load lines", contents_.load_lines, "figures beside");
        html_.section("Population", contents_.histograms, "figures beside");
        html_.section("In time", contents_.waveforms, "figures");
        html_.section("Life", contents_.life, "figures beside");
        parts();
        assumptions();
        link_file();
        return html_.finish();
    }

  private:
    std::string title() const { return link_.title.empty() ? link_.file : link_.title; }

    void title_block() {
        const Surroundings& s = link_.surroundings;
        const auto range = [](const Spread& r, Dimension d) {
            return r.varies() ? fmt::format("{} to {}", engineering_short(r.lowest, d),
                                            engineering_short(r.highest, d))
                              : engineering_short(r.nominal, d);
        };
        html_.put(fmt::format("<header>\n<h1>{}</h1>\n<p class=\"about\">{}</p>\n",
                              HtmlWriter::text(title()), HtmlWriter::text(link_.about)));
        html_.put(fmt::format("<p class=\"verdict {0}\"><strong>{1}</strong> {2}</p>\n",
                              verdict_name(proof_.verdict), verdict_sign(proof_.verdict),
                              sentence()));
        html_.put("<dl class=\"block\">\n");
        html_.field("Link file", std::filesystem::path(link_.file).filename().string());
        html_.field("Temperature", range(s.temperature, Dimension::temperature));
        html_.field("Ambient light", range(s.light, Dimension::illuminance));
        html_.field("Working voltage",
                    s.working_voltage ? engineering_short(*s.working_voltage, Dimension::voltage)
                                      : "not stated");
        html_.field("Service",
                    s.service > 0
                        ? fmt::format("{}, {} on", engineering_short(s.service, Dimension::time),
                                      percent(s.duty))
                        : "not stated");
        html_.field("Specimens drawn",
                    fmt::format("{}, seed {}", drawn_specimens(proof_), proof_.seed));
        html_.field("Solved in the search for the worst",
                    fmt::format("{}", proof_.worst_case_specimens));
        html_.put("</dl>\n</header>\n");
    }

    // The verdict in one sentence.
    std::string sentence() const {
        std::size_t broken = 0;
        std::size_t thin = 0;
        std::size_t unknown = 0;
        const auto count = [&](Verdict v) {
            broken += v == Verdict::broken ? 1 : 0;
            thin += v == Verdict::thin ? 1 : 0;
            unknown += v == Verdict::unknown ? 1 : 0;
        };
        for (const auto& p : proof_.promises) {
            count(p.verdict);
        }
        for (const auto& r : proof_.ratings) count(r.verdict);
        if (broken > 0) {
            return fmt::format("{} of {} promises and ratings {} broken somewhere in the spread.",
                               broken, proof_.promises.size() + proof_.ratings.size(),
                               broken == 1 ? "is" : "are");
        }
        if (unknown > 0) {
            return fmt::format("Of {} of {} promises and ratings it is not known whether {}.",
                               unknown, proof_.promises.size() + proof_.ratings.size(),
                               unknown == 1 ? "it holds" : "they hold");
        }
        if (thin > 0) {
            return fmt::format(
                "Everything holds in the worst case found; {} with less than the "
                "asked reserve.",
                thin);
        }
        return "Every promise and rating holds in the worst case found, with the asked reserve.";
    }

    void cautions() {
        if (proof_.cautions.empty() && proof_.not_judged.empty()) return;
        html_.put("<section class=\"cautions\">\n<h2>Cautions</h2>\n<ul>\n");
        for (const auto& one : proof_.not_judged) {
            html_.put(fmt::format("<li>{}</li>\n", HtmlWriter::text(not_judged_words(one))));
        }
        for (const auto& c : proof_.cautions)
            html_.put(fmt::format("<li>{}</li>\n", HtmlWriter::text(c.text)));
        html_.put("</ul>\n</section>\n");
    }

    void promises() {
        html_.put("<section>\n<h2>Promises</h2>\n");
        if (proof_.promises.empty()) {
            html_.put("<p>The link states no promise; only ratings are checked.</p>\n");
        } else {
            html_.table_head(
                {"State", "Quantity", "Bound", "Worst found", "Nominal", "Kept by", "Verdict"},
                "Promises");
            for (const auto& p : proof_.promises) promise_row(p);
            html_.table_end();
        }
        html_.put("</section>\n");
    }

    void promise_row(const PromiseResult& p) {
        html_.table_row(
            {p.state, p.quantity, promise_bounds(p), promise_value(p, p.worst().value, 4),
             promise_value(p, p.nominal, 4),
             p.samples ? fmt::format("{} of those drawn (at least {})", percent(p.share_kept(), 4),
                                     percent(p.share_kept_low95, 4))
                       : "no proof",
             std::string(verdict_sign(p.verdict))},
            verdict_name(p.verdict));
    }

    void influences() {
        const auto none = [](const PromiseResult& p) { return p.influences.empty(); };
        if (std::ranges::all_of(proof_.promises, none)) return;
        html_.put("<section>\n<h2>What matters most</h2>\n");
        html_.table_head({"State", "Quantity", "Share of the spread", "Figure", "A better grade",
                          "Worst case with it"},
                         "What matters most");
        for (const auto& p : proof_.promises) {
            for (const auto& i : p.influences) {
                html_.table_row({p.state, p.quantity, share_of_spread(i.share),
                                 spoken_figure(i.name), i.grade,
                                 i.grade.empty() ? "" : engineering(i.worst, p.dimension, 4)});
            }
        }
        html_.table_end();
        html_.put("</section>\n");
    }

    void ratings() {
        if (proof_.ratings.empty()) return;
        html_.put(
            "<section>\n<h2>Ratings</h2>\n"
            "<p class=\"about\">Of each limit the state with the least reserve.</p>\n");
        html_.table_head({"Part", "Limit", "State", "Bound", "Worst found", "Nominal", "Verdict"},
                         "Ratings");
        for (const auto& r : decisive_ratings(proof_)) {
            html_.table_row(
                {r.part, spoken_key(r.limit), r.state,
                 (r.sense == Sense::at_most ? "≤ " : "≥ ") +
                     engineering_short(r.bound, r.dimension),
                 engineering(r.worst(), r.dimension), engineering(r.nominal, r.dimension),
                 std::string(verdict_sign(r.verdict))},
                verdict_name(r.verdict));
        }
        html_.table_end();
        html_.put("</section>\n");
    }

    void steps() {
        if (proof_.steps.empty()) return;
        html_.put("<section>\n<h2>Worked steps</h2>\n<div class=\"steps\">\n");
        for (const auto& s : proof_.steps) {
            html_.put(fmt::format("<article>\n<h3>{} in state {}</h3>\n<ol>\n",
                                  HtmlWriter::text(s.resistors), HtmlWriter::text(s.state)));
            for (const auto& line : s.lines)
                html_.put(fmt::format("<li>{}</li>\n", HtmlWriter::text(line)));
            html_.put("</ol>\n</article>\n");
        }
        html_.put("</div>\n</section>\n");
    }

    void parts() {
        html_.put("<section>\n<h2>Parts</h2>\n");
        html_.table_head({"Part", "Kind", "Value", "Card", "Where its figures come from"}, "Parts");
        for (const auto& part : link_.parts) {
            const Description& d = part.description;
            const std::string value = d.kind == Kind::pair ? "" : part_value(part);
            html_.table_row({part.name, std::string(kind_rule(d.kind).name),
                             !value.empty() && value == d.card ? "as its card" : value,
                             d.card.empty() ? "none" : d.card,
                             d.source.empty() ? "the link file" : d.source});
            // What a pair is made of is bought apart.
            for (const auto& [half, what] :
                 {std::pair(d.emitter, "emitter"), {d.receiver, "receiver"}}) {
                if (d.kind != Kind::pair || !half || half->card.empty()) continue;
                html_.table_row({part.name, what, "as its card", half->card, half->source});
            }
        }
        html_.table_end();
        html_.put("</section>\n");
    }

    // What nobody stated and the kind's defaults filled in.
    void assumptions() {
        html_.put(
            "<section>\n<h2>Assumptions</h2>\n<ul>\n"
            "<li>Changes of state are followed in time from rest to rest, with the charges that "
            "cards and defaults state; a part that states none stores none.</li>\n"
            "<li>The worst case is the worst that a search found, not a guarantee.</li>\n");
        for (const auto& part : link_.parts) {
            std::string assumed;
            for (const auto& [key, figure] : part.description.figures) {
                if (!figure.assumed) continue;
                const auto* rule = find_key(kind_rule(part.description.kind), key);
                assumed +=
                    fmt::format("{}{} {}", assumed.empty() ? "" : ", ", spoken_key(key),
                                engineering_short(figure.spread.nominal,
                                                  rule ? rule->dimension : Dimension::ratio));
            }
            if (assumed.empty()) continue;
            html_.put(
                fmt::format("<li>{}, by the defaults of its kind (common practice): {}.</li>\n",
                            HtmlWriter::text(part.name), HtmlWriter::text(assumed)));
        }
        html_.put("</ul>\n</section>\n");
    }

    void link_file() {
        html_.put(
            fmt::format("<section>\n<h2>Link file</h2>\n<pre tabindex=\"0\">{}</pre>\n"
                        "</section>\n",
                        HtmlWriter::text(source_)));
    }

    const Link& link_;
    const Proof& proof_;
    const ReportContents& contents_;
    std::string_view source_;
    HtmlWriter html_;
};

}  // namespace

std::string html_report(const Link& link, const Proof& proof, const ReportContents& contents,
                        std::string_view source) {
    return Writer(link, proof, contents, source).write();
}

}  // namespace gapwright
