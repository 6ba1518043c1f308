#include "report/html_report.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <filesystem>

#include "report/html_style.hpp"
#include "report/schematic_view.hpp"
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
        head();
        title_block();
        cautions();
        section("Schematic", contents_.schematics);
        promises();
        influences();
        ratings();
        section("Margins", contents_.margins);
        steps();
        section("Load lines", contents_.load_lines, "figures beside");
        section("Population", contents_.histograms, "figures beside");
        section("In time", contents_.waveforms, "figures");
        section("Life", contents_.life, "figures beside");
        parts();
        assumptions();
        link_file();
        html_ += "</main>\n</body>\n</html>\n";
        return std::move(html_);
    }

  private:
    static std::string text(std::string_view words) { return xml_escaped(words); }

    // No line breaks within a quantity: "22 kΩ ± 5 %" keeps together.
    static std::string unbroken(const std::string& words) {
        constexpr std::string_view fixed_space = "\u00a0";
        constexpr std::string_view either = "±";
        std::string kept;
        for (std::size_t k = 0; k < words.size(); ++k) {
            const std::string_view before = std::string_view(words).substr(0, k);
            const std::string_view after = std::string_view(words).substr(k + 1);
            const bool within = words[k] == ' ' && !before.empty() &&
                                (std::isdigit(static_cast<unsigned char>(before.back())) != 0 ||
                                 before.ends_with(either) || after.starts_with(either));
            kept += within ? fixed_space : std::string_view(words).substr(k, 1);
        }
        return kept;
    }

    std::string title() const { return link_.title.empty() ? link_.file : link_.title; }

    void head() {
        html_ += fmt::format(
            "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
            "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
            "<link rel=\"icon\" href=\"data:,\">\n"
            "<title>{}: {}</title>\n<style>\n{}{}</style>\n</head>\n<body>\n<main>\n",
            text(title()), verdict_name(proof_.verdict), picture_style(), html_style());
    }

    void title_block() {
        const Surroundings& s = link_.surroundings;
        const auto range = [](const Spread& r, Dimension d) {
            return r.varies() ? fmt::format("{} to {}", engineering_short(r.lowest, d),
                                            engineering_short(r.highest, d))
                              : engineering_short(r.nominal, d);
        };
        html_ += fmt::format("<header>\n<h1>{}</h1>\n<p class=\"about\">{}</p>\n", text(title()),
                             text(link_.about));
        html_ +=
            fmt::format("<p class=\"verdict {0}\"><strong>{1}</strong> {2}</p>\n",
                        verdict_name(proof_.verdict), verdict_sign(proof_.verdict), sentence());
        html_ += "<dl class=\"block\">\n";
        const auto field = [&](std::string_view name, const std::string& value) {
            html_ += fmt::format("<div><dt>{}</dt><dd>{}</dd></div>\n", name, text(value));
        };
        field("Link file", std::filesystem::path(link_.file).filename().string());
        field("Temperature", range(s.temperature, Dimension::temperature));
        field("Ambient light", range(s.light, Dimension::illuminance));
        field("Working voltage", s.working_voltage
                                     ? engineering_short(*s.working_voltage, Dimension::voltage)
                                     : "not stated");
        field("Service", s.service > 0 ? fmt::format("{}, {} on",
                                                     engineering_short(s.service, Dimension::time),
                                                     percent(s.duty))
                                       : "not stated");
        field("Specimens drawn", fmt::format("{}, seed {}", drawn_specimens(proof_), proof_.seed));
        field("Solved in the search for the worst", fmt::format("{}", proof_.worst_case_specimens));
        html_ += "</dl>\n</header>\n";
    }

    // The verdict in one sentence.
    std::string sentence() const {
        std::size_t broken = 0;
        std::size_t thin = 0;
        const auto count = [&](Verdict v) {
            broken += v == Verdict::broken ? 1 : 0;
            thin += v == Verdict::thin ? 1 : 0;
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
        if (thin > 0) {
            return fmt::format(
                "Everything holds in the worst case found; {} with less than the "
                "asked reserve.",
                thin);
        }
        return "Every promise and rating holds in the worst case found, with the asked reserve.";
    }

    void cautions() {
        if (proof_.cautions.empty()) return;
        html_ += "<section class=\"cautions\">\n<h2>Cautions</h2>\n<ul>\n";
        for (const auto& c : proof_.cautions) html_ += fmt::format("<li>{}</li>\n", text(c.text));
        html_ += "</ul>\n</section>\n";
    }

    void section(std::string_view name, const std::vector<NamedPicture>& pictures,
                 std::string_view css = "figures") {
        if (pictures.empty()) return;
        html_ += fmt::format("<section>\n<h2>{}</h2>\n<div class=\"{}\">\n", name, css);
        for (const auto& p : pictures) {
            html_ += fmt::format(
                "<figure>\n<div class=\"scroll\" tabindex=\"0\" role=\"group\" "
                "aria-label=\"{0}\">\n{1}</div>\n<figcaption>{0}</figcaption>\n</figure>\n",
                text(p.caption), p.picture.svg(false));
        }
        html_ += "</div>\n</section>\n";
    }

    void table_head(std::initializer_list<std::string_view> columns, std::string_view caption) {
        html_ += fmt::format(
            "<div class=\"scroll\" tabindex=\"0\" role=\"group\" "
            "aria-label=\"{0}\">\n<table>\n<caption>{0}</caption>\n<thead><tr>",
            caption);
        for (const auto c : columns) html_ += fmt::format("<th scope=\"col\">{}</th>", c);
        html_ += "</tr></thead>\n<tbody>\n";
    }
    void table_row(std::initializer_list<std::string> cells, std::string_view css = {}) {
        html_ += css.empty() ? "<tr>" : fmt::format("<tr class=\"{}\">", css);
        for (const auto& c : cells) html_ += fmt::format("<td>{}</td>", text(unbroken(c)));
        html_ += "</tr>\n";
    }
    void table_end() { html_ += "</tbody>\n</table>\n</div>\n"; }

    void promises() {
        html_ += "<section>\n<h2>Promises</h2>\n";
        if (proof_.promises.empty()) {
            html_ += "<p>The link states no promise; only ratings are checked.</p>\n";
        } else {
            table_head(
                {"State", "Quantity", "Bound", "Worst found", "Nominal", "Kept by", "Verdict"},
                "Promises");
            for (const auto& p : proof_.promises) promise_row(p);
            table_end();
        }
        html_ += "</section>\n";
    }

    void promise_row(const PromiseResult& p) {
        table_row(
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
        html_ += "<section>\n<h2>What matters most</h2>\n";
        table_head({"State", "Quantity", "Share of the spread", "Figure", "A better grade",
                    "Worst case with it"},
                   "What matters most");
        for (const auto& p : proof_.promises) {
            for (const auto& i : p.influences) {
                table_row({p.state, p.quantity, share_of_spread(i.share), spoken_figure(i.name),
                           i.grade, i.grade.empty() ? "" : engineering(i.worst, p.dimension, 4)});
            }
        }
        table_end();
        html_ += "</section>\n";
    }

    void ratings() {
        if (proof_.ratings.empty()) return;
        html_ +=
            "<section>\n<h2>Ratings</h2>\n"
            "<p class=\"about\">Of each limit the state with the least reserve.</p>\n";
        table_head({"Part", "Limit", "State", "Bound", "Worst found", "Nominal", "Verdict"},
                   "Ratings");
        for (const auto& r : decisive_ratings(proof_)) {
            table_row({r.part, spoken_key(r.limit), r.state,
                       (r.sense == Sense::at_most ? "≤ " : "≥ ") +
                           engineering_short(r.bound, r.dimension),
                       engineering(r.worst(), r.dimension), engineering(r.nominal, r.dimension),
                       std::string(verdict_sign(r.verdict))},
                      verdict_name(r.verdict));
        }
        table_end();
        html_ += "</section>\n";
    }

    void steps() {
        if (proof_.steps.empty()) return;
        html_ += "<section>\n<h2>Worked steps</h2>\n<div class=\"steps\">\n";
        for (const auto& s : proof_.steps) {
            html_ += fmt::format("<article>\n<h3>{} in state {}</h3>\n<ol>\n", text(s.resistors),
                                 text(s.state));
            for (const auto& line : s.lines) html_ += fmt::format("<li>{}</li>\n", text(line));
            html_ += "</ol>\n</article>\n";
        }
        html_ += "</div>\n</section>\n";
    }

    void parts() {
        html_ += "<section>\n<h2>Parts</h2>\n";
        table_head({"Part", "Kind", "Value", "Card", "Where its figures come from"}, "Parts");
        for (const auto& part : link_.parts) {
            const Description& d = part.description;
            const std::string value = d.kind == Kind::pair ? "" : part_value(part);
            table_row({part.name, std::string(kind_rule(d.kind).name),
                       !value.empty() && value == d.card ? "as its card" : value,
                       d.card.empty() ? "none" : d.card,
                       d.source.empty() ? "the link file" : d.source});
            // What a pair is made of is bought apart.
            for (const auto& [half, what] :
                 {std::pair(d.emitter, "emitter"), {d.receiver, "receiver"}}) {
                if (d.kind != Kind::pair || !half || half->card.empty()) continue;
                table_row({part.name, what, "as its card", half->card, half->source});
            }
        }
        table_end();
        html_ += "</section>\n";
    }

    // What nobody stated and the kind's defaults filled in.
    void assumptions() {
        html_ +=
            "<section>\n<h2>Assumptions</h2>\n<ul>\n"
            "<li>Changes of state are followed in time from rest to rest, with the charges that "
            "cards and defaults state; a part that states none stores none.</li>\n"
            "<li>The worst case is the worst that a search found, not a guarantee.</li>\n";
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
            html_ +=
                fmt::format("<li>{}, by the defaults of its kind (common practice): {}.</li>\n",
                            text(part.name), text(assumed));
        }
        html_ += "</ul>\n</section>\n";
    }

    void link_file() {
        html_ += fmt::format(
            "<section>\n<h2>Link file</h2>\n<pre tabindex=\"0\">{}</pre>\n"
            "</section>\n",
            text(source_));
    }

    const Link& link_;
    const Proof& proof_;
    const ReportContents& contents_;
    std::string_view source_;
    std::string html_;
};

}  // namespace

std::string html_report(const Link& link, const Proof& proof, const ReportContents& contents,
                        std::string_view source) {
    return Writer(link, proof, contents, source).write();
}

}  // namespace gapwright
