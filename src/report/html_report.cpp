#include "report/html_report.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>

#include "link/link.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "report/emitter_words.hpp"
#include "report/html_writer.hpp"
#include "report/link_sections.hpp"
#include "report/proof_words.hpp"
#include "report/words.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

class Writer {
  public:
    Writer(const Link& link, const Proof& proof, const ReportContents& contents,
           std::string_view source)
        : link_(link), proof_(proof), contents_(contents), source_(source) {}

    std::string write() {
        html_.head(fmt::format("{}: {}", report_title(link_), verdict_name(proof_.verdict)));
        title_block();
        put_cautions(html_, cautions_to_tell(proof_));
        html_.section("Schematic", contents_.schematics);
        promises();
        influences();
        ratings();
        unknown();
        html_.section("Margins", contents_.margins);
        steps();
        html_.section("Load lines", contents_.load_lines, "figures beside");
        html_.section("Population", contents_.histograms, "figures beside");
        html_.section("In time", contents_.waveforms, "figures");
        html_.section("Life", contents_.life, "figures beside");
        emitters();
        put_parts(html_, link_);
        put_assumptions(
            html_, link_,
            {"Changes of state are followed in time from rest to rest, with the charges that cards "
             "and defaults state; a part that states none stores none, but for what a winding has "
             "of "
             "its own where nothing else takes its current.",
             "The worst case is the worst that a search found, not a guarantee."});
        put_link_file(html_, source_);
        return html_.finish();
    }

  private:
    void title_block() {
        begin_title_block(html_, link_,
                          {verdict_name(proof_.verdict), verdict_sign(proof_.verdict), sentence()});
        html_.field("Specimens drawn",
                    fmt::format("{}, seed {}", drawn_specimens(proof_), proof_.seed));
        html_.field("Solved in the search for the worst",
                    fmt::format("{}", proof_.worst_case_specimens));
        html_.put("</dl>\n");
        if (proof_.stretch) {
            html_.put(fmt::format("<p class=\"stretch\">Stretch: {}.</p>\n",
                                  HtmlWriter::text(link_stretch_words(link_, proof_))));
        }
        html_.put("</header>\n");
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
                "Everything holds in the worst case found; {} with less than {}.", thin,
                stretch_is_asked() ? "the asked reserve or stretch" : "the asked reserve");
        }
        return fmt::format(
            "Every promise and rating holds in the worst case found, with {}.",
            stretch_is_asked() ? "the asked reserve and stretch" : "the asked reserve");
    }

    bool stretch_is_asked() const { return link_.surroundings.stretch > 1; }

    void promises() {
        html_.put("<section>\n<h2>Promises</h2>\n");
        if (proof_.promises.empty()) {
            html_.put("<p>The link states no promise; only ratings are checked.</p>\n");
        } else {
            html_.table_head({"State", "Quantity", "Bound", "Worst found", "Nominal", "Stretch",
                              "Kept by", "Verdict"},
                             "Promises");
            for (const auto& p : proof_.promises) promise_row(p);
            html_.table_end();
        }
        html_.put("</section>\n");
    }

    void promise_row(const PromiseResult& p) {
        html_.table_row(
            {p.state, p.quantity, promise_bounds(p), promise_value(p, p.worst().value, 4),
             promise_value(p, p.nominal, 4), shown_stretch(p.stretch),
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
        html_.table_head(
            {"Part", "Limit", "State", "Bound", "Worst found", "Nominal", "Stretch", "Verdict"},
            "Ratings");
        for (const auto& r : decisive_ratings(proof_)) {
            html_.table_row(
                {r.part, spoken_key(r.limit), r.state, rating_bound(r),
                 engineering(r.worst(), r.dimension), engineering(r.nominal, r.dimension),
                 shown_stretch(r.stretch), std::string(verdict_sign(r.verdict))},
                verdict_name(r.verdict));
        }
        html_.table_end();
        html_.put("</section>\n");
    }

    void unknown() {
        const auto sentences = what_would_settle(proof_);
        if (sentences.empty()) return;
        html_.put("<section>\n<h2>Unknown, and what would settle it</h2>\n");
        html_.list(sentences);
        html_.put("</section>\n");
    }

    void emitters() {
        if (proof_.emitters.empty()) return;
        html_.put(fmt::format("<section>\n<h2>{}</h2>\n<ul>\n",
                              HtmlWriter::text(emitters_heading(link_))));
        for (const auto& emitter : proof_.emitters) {
            const std::string told =
                fmt::format("{}", fmt::join(emitter_words(link_, emitter), " · "));
            html_.put(fmt::format("<li>{}: {}</li>\n", HtmlWriter::text(emitter.part),
                                  HtmlWriter::text(told)));
        }
        html_.put("</ul>\n</section>\n");
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
