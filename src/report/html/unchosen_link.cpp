#include "report/html/unchosen_link.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cctype>
#include <cstddef>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "design/values/open_stock.hpp"
#include "draw/schematic.hpp"
#include "link/link.hpp"
#include "proof/cautions/cautions.hpp"
#include "proof/stated_promise.hpp"
#include "report/html/html_report.hpp"
#include "report/html/html_writer.hpp"
#include "report/html/link_sections.hpp"
#include "report/pictures/schematic_view.hpp"
#include "report/words/words.hpp"

namespace gapwright {
namespace {

constexpr std::string_view ending = ".link.toml";

// "R1", "R1 and R2", "R1, R2 and R3".
std::string open_names(const Link& link) {
    std::vector<std::string> names;
    for (const std::size_t k : link.to_choose()) names.push_back(link.parts[k].name);
    if (names.size() < 2) return fmt::format("{}", fmt::join(names, ""));
    const std::string last = names.back();
    names.pop_back();
    return fmt::format("{} and {}", fmt::join(names, ", "), last);
}

// A word of a command, in quotes where a shell would take it apart.
std::string shell_word(const std::string& word) {
    const auto plain = [](unsigned char c) {
        return std::isalnum(c) != 0 || std::string_view("._/-+,:").contains(static_cast<char>(c));
    };
    if (!word.empty() && word.front() != '-' && std::ranges::all_of(word, plain)) return word;
    std::string quoted = word.starts_with('-') ? "'./" : "'";
    for (const char c : word) {
        if (c == '\'') {
            quoted += R"('\'')";
        } else {
            quoted += c;
        }
    }
    return quoted + "'";
}

// "S1 closed, P1 low (assumed)".
std::string settings_of(const Link& link, const State& state) {
    std::vector<std::string> words;
    for (const auto& [part, setting] : state.settings) {
        const bool assumed = std::ranges::find(state.assumed, part) != state.assumed.end();
        words.push_back(fmt::format("{} {}{}", link.parts[part].name, setting_word(setting),
                                    assumed ? " (assumed)" : ""));
    }
    return words.empty() ? "nothing is set" : fmt::format("{}", fmt::join(words, ", "));
}

void how_to_choose(HtmlWriter& html, const Link& link) {
    html.put("<section>\n<h2>Still to be chosen</h2>\n");
    html.put(fmt::format(
        "<p>{}: from {}. This finds what keeps every promise and rating with the greatest "
        "reserve, and writes it into a file of its own:</p>\n<pre tabindex=\"0\">{}</pre>\n",
        HtmlWriter::text(open_names(link)), HtmlWriter::text(stock_name(link.stock)),
        HtmlWriter::text(choose_command(std::filesystem::path(link.file).filename().string()))));
    html.put(
        "<p>Or write a value of your own in place of \"choose\", for example value = \"4.7 kΩ "
        "± 5 %\".</p>\n");
    if (link.promises.empty()) {
        html.put(
            "<p>The link promises nothing yet: values are chosen by what is promised, so state "
            "that first.</p>\n");
    }
    html.put("</section>\n");
}

void states(HtmlWriter& html, const Link& link) {
    html.put("<section>\n<h2>States</h2>\n");
    html.table_head({"State", "Contacts and logic outputs"}, "States");
    for (const State& state : link.states) {
        html.table_row({state.name, settings_of(link, state)});
    }
    html.table_end();
    html.put("</section>\n");
}

void promises(HtmlWriter& html, const Link& link) {
    if (link.promises.empty()) return;
    html.put("<section>\n<h2>Promises</h2>\n");
    html.table_head({"State", "Quantity", "Bound", "Verdict"}, "Promises");
    for (const Promise& promise : link.promises) {
        const auto stated = stated_promise(link, promise);
        html.table_row({stated.state, stated.quantity, promise_bounds(stated), "not judged"});
    }
    html.table_end();
    html.put("</section>\n");
}

}  // namespace

std::string unchosen_sentence(const Link& link) {
    return fmt::format("{} {} still to be chosen: until then nothing can be judged.",
                       open_names(link), link.to_choose().size() == 1 ? "is" : "are");
}

std::string choose_command(const std::string& file) {
    std::string stem = file;
    if (stem.ends_with(ending)) stem.resize(stem.size() - ending.size());
    return fmt::format("gapwright design {} -o {}", shell_word(file),
                       shell_word(fmt::format("{}-chosen{}", stem, ending)));
}

std::vector<NamedPicture> unchosen_schematics(const Link& link) {
    std::vector<NamedPicture> pictures;
    for (std::size_t s = 0; s < link.states.size(); ++s) {
        pictures.push_back({"schematic-" + link.states[s].name,
                            fmt::format("State {}: without currents and voltages, since values are "
                                        "still to be chosen",
                                        link.states[s].name),
                            draw_schematic(schematic_view(link, s))});
    }
    return pictures;
}

std::string unchosen_html(const Link& link, const std::vector<NamedPicture>& schematics,
                          std::string_view source) {
    HtmlWriter html;
    html.head(report_title(link) + ": not judged");
    begin_title_block(html, link, {"unknown", "not judged", unchosen_sentence(link)});
    html.put("</dl>\n</header>\n");
    how_to_choose(html, link);
    put_cautions(html, stated_cautions(link));
    html.section("Schematic", schematics);
    states(html, link);
    promises(html, link);
    put_parts(html, link);
    put_assumptions(html, link, {});
    put_link_file(html, source);
    return html.finish();
}

}  // namespace gapwright
