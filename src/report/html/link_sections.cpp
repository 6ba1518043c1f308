#include "report/html/link_sections.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <filesystem>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "link/link.hpp"
#include "proof/cautions/cautions.hpp"
#include "report/html/html_writer.hpp"
#include "report/pictures/part_symbol.hpp"
#include "report/words/card_words.hpp"
#include "report/words/words.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

std::string range_words(const Spread& range, Dimension dimension) {
    if (!range.varies()) return engineering_short(range.nominal, dimension);
    return fmt::format("{} to {}", engineering_short(range.lowest, dimension),
                       engineering_short(range.highest, dimension));
}

// "dark resistance 5 MΩ (200 kΩ … 100 MΩ), bandgap 1.12 eV": what nobody states, each with the
// range that counts; empty where everything is stated.
std::string assumed_figures(const Description& d) {
    std::vector<std::string> words;
    for (const auto& [key, figure] : d.figures) {
        if (!figure.assumed) continue;
        const auto* rule = find_key(kind_rule(d.kind), key);
        if (rule) words.push_back(spoken_key(key) + " " + figure_words(*rule, figure));
    }
    return fmt::format("{}", fmt::join(words, ", "));
}

}  // namespace

std::string report_title(const Link& link) {
    return link.title.empty() ? link.file : link.title;
}

void begin_title_block(HtmlWriter& html, const Link& link, const TitleVerdict& verdict) {
    html.put(fmt::format("<header>\n<h1>{}</h1>\n<p class=\"about\">{}</p>\n",
                         HtmlWriter::text(report_title(link)), HtmlWriter::text(link.about)));
    html.put(fmt::format("<p class=\"verdict {}\"><strong>{}</strong> {}</p>\n",
                         verdict.style_class, verdict.word, HtmlWriter::text(verdict.sentence)));
    html.put("<dl class=\"block\">\n");
    const Surroundings& s = link.surroundings;
    html.field("Link file", std::filesystem::path(link.file).filename().string());
    html.field("Temperature", range_words(s.temperature, Dimension::temperature));
    html.field("Ambient light", range_words(s.light, Dimension::illuminance));
    html.field("Working voltage", s.working_voltage
                                      ? engineering_short(*s.working_voltage, Dimension::voltage)
                                      : "not stated");
    html.field("Service",
               s.service > 0 ? engineering_short(s.service, Dimension::time) : "not stated");
}

void put_cautions(HtmlWriter& html, const std::vector<Caution>& cautions) {
    if (cautions.empty()) return;
    html.put("<section class=\"cautions\">\n<h2>Cautions</h2>\n<ul>\n");
    for (const auto& c : cautions) html.put(fmt::format("<li>{}</li>\n", HtmlWriter::text(c.text)));
    html.put("</ul>\n</section>\n");
}

void put_parts(HtmlWriter& html, const Link& link) {
    html.put("<section>\n<h2>Parts</h2>\n");
    html.table_head({"Part", "Kind", "Value", "Card", "Where its figures come from"}, "Parts");
    for (const auto& part : link.parts) {
        const Description& d = part.description;
        const std::string value = d.kind == Kind::pair ? "" : part_value(part);
        html.table_row({part.name, std::string(kind_rule(d.kind).name),
                        !value.empty() && value == d.card ? "as its card" : value,
                        d.card.empty() ? "none" : d.card,
                        d.source.empty() ? "the link file" : d.source});
        // What a pair is made of is bought apart.
        for (const auto& [half, what] :
             {std::pair(d.emitter, "emitter"), {d.receiver, "receiver"}}) {
            if (d.kind != Kind::pair || !half || half->card.empty()) continue;
            html.table_row({part.name, what, "as its card", half->card, half->source});
        }
    }
    html.table_end();
    html.put("</section>\n");
}

void put_assumptions(HtmlWriter& html, const Link& link, const std::vector<std::string>& others) {
    std::vector<std::string> lines = others;
    const auto tell = [&](const std::string& name, const Description& d) {
        if (const std::string assumed = assumed_figures(d); !assumed.empty()) {
            lines.push_back(fmt::format("{}, by the defaults of its kind (common practice): {}.",
                                        name, assumed));
        }
    };
    for (const auto& part : link.parts) {
        const Description& d = part.description;
        tell(part.name, d);
        // What a pair is made of has defaults of its own.
        if (d.emitter) tell(part.name + "'s emitter", *d.emitter);
        if (d.receiver) tell(part.name + "'s receiver", *d.receiver);
    }
    if (lines.empty()) return;
    html.put("<section>\n<h2>Assumptions</h2>\n<ul>\n");
    for (const auto& line : lines) html.put(fmt::format("<li>{}</li>\n", HtmlWriter::text(line)));
    html.put("</ul>\n</section>\n");
}

void put_link_file(HtmlWriter& html, std::string_view source) {
    html.put(
        fmt::format("<section>\n<h2>Link file</h2>\n<pre tabindex=\"0\">{}</pre>\n"
                    "</section>\n",
                    HtmlWriter::text(source)));
}

}  // namespace gapwright
