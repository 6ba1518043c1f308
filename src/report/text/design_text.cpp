#include "report/text/design_text.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>

#include <vector>
#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "design/design.hpp"
#include "design/values/aim.hpp"
#include "design/values/stock.hpp"
#include "link/link.hpp"
#include "proof/proof.hpp"  // IWYU pragma: keep (of an answer)
#include "proof/verdict.hpp"
#include "report/text/text_table.hpp"
#include "report/text/value_bar.hpp"
#include "report/text/verdict_text.hpp"
#include "report/words/design_words.hpp"
#include "report/words/proof_words.hpp"
#include "report/words/words.hpp"
#include "source/terminal_text.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

std::string counted(std::size_t count, std::string_view one, std::string_view many) {
    return fmt::format("{} {}", count, count == 1 ? one : many);
}

std::string ohms(double value) {
    return engineering_short(value, Dimension::resistance, 3);
}

// "292 Ω ± 5 %"
std::string spread_text(const Spread& value) {
    if (!value.varies()) return ohms(value.nominal);
    const double above = value.highest / value.nominal - 1;
    const double below = 1 - value.lowest / value.nominal;
    constexpr double alike = 1e-6;
    if (std::abs(above - below) < alike) {
        return fmt::format("{} ± {}", ohms(value.nominal), percent(above, 2));
    }
    return fmt::format("{} ({})", ohms(value.nominal),
                       engineering_range(value.lowest, value.highest, Dimension::resistance));
}

// "voltage supply to coil, on: 19.2 V, promise ≥ 16.8 V"
std::string limit_text(const Limit& limit) {
    return fmt::format("{}, {}: {}, {} {}", limit.subject, limit.state,
                       limit_figure(limit, limit.value), limit.is_promise ? "promise" : "rating",
                       bound_text(limit));
}

template <class... Parts>
std::string line(fmt::format_string<Parts...> form, Parts&&... parts) {
    return fmt::format(form, std::forward<Parts>(parts)...) + "\n";
}

std::string how_many_hold(const Design& design) {
    const auto standing = [&](Verdict verdict) {
        return static_cast<std::size_t>(std::ranges::count(
            design.answers, verdict, [](const Answer& a) { return a.proof->verdict; }));
    };
    const std::size_t thin = standing(Verdict::thin);
    const std::size_t hold = standing(Verdict::kept) + thin;
    if (hold == 0) return "no answer holds";
    std::string text = counted(hold, "answer holds", "answers hold");
    if (thin == 0) return text;
    return text + (hold == 1 ? ", but thin" : fmt::format(", {} of them thin", thin));
}

std::string head(const Design& design) {
    std::string text = design.title.empty() ? "Design" : in_one_line(design.title);
    text += ": " + how_many_hold(design);
    if (!design.stock.empty()) text += "; values from " + in_one_line(design.stock);
    if (design.drafts > 0) {
        text += "; " + counted(design.drafts, "draft", "drafts") + " looked at";
    }
    text += "\n";
    if (design.stopped) text += "  stopped before the end: the best so far\n";
    if (!design.skipped.empty()) {
        text += line("  {} of the drawer skipped", counted(design.skipped.size(), "row", "rows"));
    }
    if (design.answers.empty()) text += "  no set of values has an operating point\n";
    return text;
}

std::string answer_title(const Answer& a, std::size_t number) {
    if (a.proof->verdict == Verdict::broken) return "Nearest miss";
    return fmt::format("{}  {}", number, characters_text(a));
}

std::string relaxation(const Link& link, const Limit& limit) {
    const double asked = asked_reserve(link, limit);
    const auto bound = relaxed_bound(limit, asked);
    if (!bound) return "no bound would do with the asked reserve";
    const bool at_least = limit.sense == Sense::at_least;
    const double rounded = at_least ? rounded_down(*bound) : rounded_up(*bound);
    return fmt::format(
        "would hold if at {} {} were {}, with the asked reserve of {}", at_least ? "least" : "most",
        limit.dimension == Dimension::ratio ? percent(rounded, 3)
                                            : engineering_short(rounded, limit.dimension, 3),
        at_least ? "enough" : "allowed", percent(asked));
}

std::string broken(const Answer& a) {
    if (a.broken.empty()) return {};
    std::string text = "  what does not hold\n";
    for (const auto& limit : a.broken) {
        text += line("    {} {} in state {}: reaches {}; {}", limit.subject, bound_text(limit),
                     limit.state, limit_figure(limit, limit.value), relaxation(a.link, limit));
    }
    return text;
}

std::string unknown(const Answer& a) {
    const auto sentences = what_would_settle(*a.proof);
    if (sentences.empty()) return {};
    std::string text = "  unknown, and what would settle it\n";
    for (const auto& sentence : sentences) text += line("    {}", sentence);
    return text;
}

std::string objections(const Answer& a) {
    if (a.objections.empty()) return {};
    std::string text = "  against good practice\n";
    for (const auto& objection : a.objections) text += line("    {}", objection_text(objection));
    return text;
}

std::string paths(const Link& link) {
    Table table({false, false});
    for (const Side side : {Side::input, Side::output}) {
        std::string name(side_name(side));
        for (const auto& path : paths_text(link.side(side))) {
            table.add({std::exchange(name, ""), path});
        }
    }
    return table.text();
}

// What a hand has to fetch besides the resistors.
std::string parts(const Link& link) {
    std::vector<std::string> list;
    for (const Part& part : link.parts) {
        const Description& d = part.description;
        if (d.kind == Kind::resistor) continue;
        const std::string name = d.card.empty() ? std::string(kind_rule(d.kind).name) : d.card;
        list.push_back(
            d.kind == Kind::pair
                ? fmt::format("{} {} and {}, {} apart, shroud {}", part.name, d.emitter->card,
                              d.receiver->card,
                              engineering_short(d.nominal(Key::distance), Dimension::length),
                              percent(d.nominal(Key::shroud), 4))
                : fmt::format("{} {}", part.name, name));
    }
    return line("  parts   {}", fmt::join(list, " · "));
}

std::string values(const Answer& a, bool stopped) {
    if (a.values.empty()) return {};
    const bool windows =
        std::ranges::any_of(a.values, [](const ChosenValue& v) { return v.window.has_value(); });
    Table table({false, false, false, false, true, false, false}, "   ");
    // The ideal of reserve alone is worth telling where it was what was aimed at.
    const bool ideal = a.aim == Aim::most_reserve;
    table.add({"part", "value", "made of", ideal ? "ideal" : "", "",
               windows ? "where all holds" : "", ""});
    for (const auto& v : a.values) {
        Table::Row row = {v.part, spread_text(v.value),
                          v.joint == Joint::single ? "one part" : v.text,
                          ideal ? ohms(v.ideal) : ""};
        if (v.window) {
            row.push_back(ohms(v.window->lowest));
            row.push_back(value_bar(*v.window, v.value.nominal));
            row.push_back(ohms(v.window->highest));
        }
        table.add(std::move(row));
    }
    std::string text = "  chosen values\n" + table.text();
    for (const auto& v : a.values) {
        if (v.window) text += line("    {} {}", v.part, window_text(*v.window));
    }
    return text + line("  {}", optimum_text(a, stopped));
}

std::string helps(const Answer& a) {
    if (a.helps.empty()) return {};
    Table table({false, false, false}, "   ");
    for (const auto& help : a.helps) {
        table.add({help.change, "least reserve " + reserve_text(help.reserve),
                   help.stretch ? fmt::format("stretch {:.3g}", *help.stretch) : ""});
    }
    return "  what would help\n" + table.text();
}

std::string answer_text(const Answer& a, bool stopped, bool colour) {
    std::string text;
    if (a.draft) text += line("  {} · {} · {}", a.draft->input, a.draft->gap, a.draft->output);
    if (!a.against_first.empty()) text += line("  {}", a.against_first);
    const std::string stretch = answer_stretch(a);
    text += line("  {}, least reserve {}, asked {}{}", shown_verdict(a.proof->verdict, colour),
                 reserve_text(a.limit), percent(asked_reserve(a.link, a.limit)),
                 stretch.empty() ? "" : "; " + stretch);
    text +=
        line("    {}{}", limit_text(a.limit), a.limit_is_fixed ? "; no value changes that" : "");
    if (!a.limit.where.empty()) text += line("    worst at {}", case_text(a.limit.where));
    text += line("  {}; {} from all supplies, nominal, in the state that takes most",
                 counted(a.parts, "part", "parts"), engineering(a.current, Dimension::current));
    if (!a.not_in_drawer.empty()) {
        text += line("  not in the drawer: {}", fmt::join(a.not_in_drawer, ", "));
    }
    text += line("  {}", when_dead_text(a));
    return text + broken(a) + unknown(a) + objections(a) + paths(a.link) + parts(a.link) +
           values(a, stopped) + helps(a);
}

std::string steps_of(const ChosenValue& v) {
    std::string text = line("  {} = {}{}", v.part, ohms(v.value.nominal),
                            v.joint == Joint::single ? "" : fmt::format(", made of {}", v.text));
    for (const auto& why : v.why) text += line("    {}", why);
    if (v.around.empty()) return text;
    Table table({false, false, true, false, false}, "    ");
    table.add({"", "", "reserve", "limited by", "why not"});
    for (const auto& c : v.around) {
        table.add({c.taken ? "▸" : "", c.text, reserve_text(c.reserve), c.limited_by,
                   c.taken ? "taken" : c.why_not});
    }
    return text + "    candidates, the other values as chosen\n" + table.text();
}

// Of all answers where they are few, else of the first.
std::string steps(const Design& design, bool colour) {
    constexpr std::size_t few = 2;
    const std::size_t told = design.answers.size() <= few ? design.answers.size() : 1;
    std::string text;
    for (std::size_t k = 0; k < told; ++k) {
        const Answer& a = design.answers[k];
        std::string of_values;
        for (const auto& value : a.values) of_values += steps_of(value);
        text += shown_section(a.proof->verdict == Verdict::broken
                                  ? "Worked steps of the nearest miss"
                                  : fmt::format("Worked steps of answer {}", k + 1),
                              of_values, colour);
    }
    return text;
}

// All answers side by side.
std::string side_by_side(const Design& design) {
    if (design.answers.size() < 2) return {};
    Table table({true, false, false, true, true, true, true, false});
    table.add(
        {"", "answer", "verdict", "reserve", "stretch", "parts", "current", "against practice"});
    for (std::size_t k = 0; k < design.answers.size(); ++k) {
        const Answer& a = design.answers[k];
        const auto& stretch = a.proof->stretch;
        table.add({std::to_string(k + 1), characters_text(a),
                   std::string(verdict_sign(a.proof->verdict)), reserve_text(a.limit),
                   stretch ? shown_stretch(stretch->stretch) : "", std::to_string(a.parts),
                   engineering_short(a.current, Dimension::current, 3),
                   a.objections.empty() ? "nothing" : std::to_string(a.objections.size())});
    }
    return table.text();
}

std::string gaps(const Design& design) {
    if (design.gaps.empty()) return {};
    Table table({false, false, true, false});
    table.add({"gap", "kind", "least reserve", "limited by"});
    for (const auto& gap : design.gaps) {
        table.add({gap.name, gap.kind, gap.reserve ? reserve_text(*gap.reserve) : "",
                   gap.reserve ? gap.limited_by : "ruled out: " + gap.ruled_out});
    }
    return table.text();
}

std::string outputs(const Design& design) {
    if (design.outputs.empty()) return {};
    Table table({false, true, false});
    table.add({"output side", "least reserve", "limited by"});
    for (const auto& one : design.outputs) {
        table.add({one.name, one.reserve ? reserve_text(*one.reserve) : "",
                   one.reserve ? one.limited_by : "ruled out: " + one.ruled_out});
    }
    return table.text();
}

std::string not_looked_at(const Design& design) {
    std::string text;
    for (const auto& one : design.not_looked_at) text += line("  {}: {}", one.what, one.reason);
    return text;
}

}  // namespace

std::string design_text(const Design& design, const TextStyle& style) {
    std::string text = head(design);
    for (std::size_t k = 0; k < design.answers.size(); ++k) {
        const Answer& answer = design.answers[k];
        text += shown_section(answer_title(answer, k + 1),
                              answer_text(answer, design.stopped, style.colour), style.colour);
    }
    text += shown_section("Side by side", side_by_side(design), style.colour);
    if (style.steps) text += steps(design, style.colour);
    return text +
           shown_section("Gaps compared, each with its best draft at a first look, single values",
                         gaps(design), style.colour) +
           shown_section("Ways to build the output side, likewise", outputs(design), style.colour) +
           shown_section("Not looked at", not_looked_at(design), style.colour);
}

}  // namespace gapwright
