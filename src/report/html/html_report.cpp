#include "report/html/html_report.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>

#include "card/key.hpp"
#include "link/link.hpp"
#include "proof/proof.hpp"
#include "proof/verdict.hpp"
#include "report/html/html_writer.hpp"
#include "report/html/link_sections.hpp"
#include "report/words/emitter_words.hpp"
#include "report/words/proof_words.hpp"
#include "report/words/words.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

// The verdict in one sentence.
std::string sentence(const Link& link, const Proof& proof) {
    std::size_t broken = 0;
    std::size_t thin = 0;
    std::size_t unknown = 0;
    const auto count = [&](Verdict v) {
        broken += v == Verdict::broken ? 1 : 0;
        thin += v == Verdict::thin ? 1 : 0;
        unknown += v == Verdict::unknown ? 1 : 0;
    };
    for (const auto& p : proof.promises) count(p.verdict);
    for (const auto& r : proof.ratings) count(r.verdict);
    if (broken > 0) {
        return fmt::format("{} of {} promises and ratings {} broken somewhere in the spread.",
                           broken, proof.promises.size() + proof.ratings.size(),
                           broken == 1 ? "is" : "are");
    }
    if (unknown > 0) {
        return fmt::format("Of {} of {} promises and ratings it is not known whether {}.", unknown,
                           proof.promises.size() + proof.ratings.size(),
                           unknown == 1 ? "it holds" : "they hold");
    }
    const bool stretch_is_asked = link.surroundings.stretch > 1;
    if (thin > 0) {
        return fmt::format("Everything holds in the worst case found; {} with less than {}.", thin,
                           stretch_is_asked ? "the asked reserve or stretch" : "the asked reserve");
    }
    return fmt::format("Every promise and rating holds in the worst case found, with {}.",
                       stretch_is_asked ? "the asked reserve and stretch" : "the asked reserve");
}

void title_block(HtmlWriter& html, const Link& link, const Proof& proof) {
    begin_title_block(
        html, link,
        {verdict_name(proof.verdict), verdict_sign(proof.verdict), sentence(link, proof)});
    html.field("Specimens drawn", fmt::format("{}, seed {}", drawn_specimens(proof), proof.seed));
    html.field("Solved in the search for the worst", fmt::format("{}", proof.worst_case_specimens));
    html.put("</dl>\n");
    if (proof.stretch) {
        html.put(fmt::format("<p class=\"stretch\">Stretch: {}.</p>\n",
                             HtmlWriter::text(link_stretch_words(link, proof))));
    }
    html.put("</header>\n");
}

void promise_row(HtmlWriter& html, const PromiseResult& p) {
    html.table_row(
        {p.state, p.quantity, promise_bounds(p), promise_value(p, p.worst().value, 4),
         promise_value(p, p.nominal, 4), shown_stretch(p.stretch),
         p.samples ? fmt::format("{} of those drawn (at least {})", percent(p.share_kept(), 4),
                                 percent(p.share_kept_low95, 4))
                   : "no proof",
         std::string(verdict_sign(p.verdict))},
        verdict_name(p.verdict));
}

void promises(HtmlWriter& html, const Proof& proof) {
    html.put("<section>\n<h2>Promises</h2>\n");
    if (proof.promises.empty()) {
        html.put("<p>The link states no promise; only ratings are checked.</p>\n");
    } else {
        html.table_head({"State", "Quantity", "Bound", "Worst found", "Nominal", "Stretch",
                         "Kept by", "Verdict"},
                        "Promises");
        for (const auto& p : proof.promises) promise_row(html, p);
        html.table_end();
    }
    html.put("</section>\n");
}

void influences(HtmlWriter& html, const Proof& proof) {
    const auto none = [](const PromiseResult& p) { return p.influences.empty(); };
    if (std::ranges::all_of(proof.promises, none)) return;
    html.put("<section>\n<h2>What matters most</h2>\n");
    html.table_head({"State", "Quantity", "Share of the spread", "Figure", "A better grade",
                     "Worst case with it"},
                    "What matters most");
    for (const auto& p : proof.promises) {
        for (const auto& i : p.influences) {
            html.table_row({p.state, p.quantity, share_of_spread(i.share), spoken_figure(i.name),
                            i.grade, i.grade.empty() ? "" : engineering(i.worst, p.dimension, 4)});
        }
    }
    html.table_end();
    html.put("</section>\n");
}

void ratings(HtmlWriter& html, const Proof& proof) {
    if (proof.ratings.empty()) return;
    html.put(
        "<section>\n<h2>Ratings</h2>\n"
        "<p class=\"about\">Of each limit the state with the least reserve.</p>\n");
    html.table_head(
        {"Part", "Limit", "State", "Bound", "Worst found", "Nominal", "Stretch", "Verdict"},
        "Ratings");
    for (const auto& r : decisive_ratings(proof)) {
        html.table_row({r.part, spoken_key(r.limit), r.state, rating_bound(r),
                        engineering(r.worst(), r.dimension), engineering(r.nominal, r.dimension),
                        shown_stretch(r.stretch), std::string(verdict_sign(r.verdict))},
                       verdict_name(r.verdict));
    }
    html.table_end();
    html.put("</section>\n");
}

void unknown(HtmlWriter& html, const Proof& proof) {
    const auto sentences = what_would_settle(proof);
    if (sentences.empty()) return;
    html.put("<section>\n<h2>Unknown, and what would settle it</h2>\n");
    html.list(sentences);
    html.put("</section>\n");
}

void emitters(HtmlWriter& html, const Link& link, const Proof& proof) {
    if (proof.emitters.empty()) return;
    html.put(
        fmt::format("<section>\n<h2>{}</h2>\n<ul>\n", HtmlWriter::text(emitters_heading(link))));
    for (const auto& emitter : proof.emitters) {
        const std::string told = fmt::format("{}", fmt::join(emitter_words(link, emitter), " · "));
        html.put(fmt::format("<li>{}: {}</li>\n", HtmlWriter::text(emitter.part),
                             HtmlWriter::text(told)));
    }
    html.put("</ul>\n</section>\n");
}

void steps(HtmlWriter& html, const Proof& proof) {
    if (proof.steps.empty()) return;
    html.put("<section>\n<h2>Worked steps</h2>\n<div class=\"steps\">\n");
    for (const auto& s : proof.steps) {
        html.put(fmt::format("<article>\n<h3>{} in state {}</h3>\n<ol>\n",
                             HtmlWriter::text(s.resistors), HtmlWriter::text(s.state)));
        for (const auto& line : s.lines)
            html.put(fmt::format("<li>{}</li>\n", HtmlWriter::text(line)));
        html.put("</ol>\n</article>\n");
    }
    html.put("</div>\n</section>\n");
}

}  // namespace

std::string html_report(const Link& link, const Proof& proof, const ReportContents& contents,
                        std::string_view source) {
    HtmlWriter html;
    html.head(fmt::format("{}: {}", report_title(link), verdict_name(proof.verdict)));
    title_block(html, link, proof);
    put_cautions(html, cautions_to_tell(proof));
    html.section("Schematic", contents.schematics);
    promises(html, proof);
    influences(html, proof);
    ratings(html, proof);
    unknown(html, proof);
    html.section("Margins", contents.margins);
    steps(html, proof);
    html.section("Load lines", contents.load_lines, "figures beside");
    html.section("Population", contents.histograms, "figures beside");
    html.section("In time", contents.waveforms, "figures");
    html.section("Life", contents.life, "figures beside");
    emitters(html, link, proof);
    put_parts(html, link);
    put_assumptions(
        html, link,
        {"Changes of state are followed in time from rest to rest, with the charges that cards and "
         "defaults state; a part that states none stores none, but for what a winding has of its "
         "own where nothing else takes its current.",
         "The worst case is the worst that a search found, not a guarantee."});
    put_link_file(html, source);
    return html.finish();
}

}  // namespace gapwright
