#include "report/design_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>

#include "circuit/index.hpp"
#include "design/design.hpp"
#include "design/stock.hpp"
#include "link/link.hpp"
#include "proof/proof.hpp"  // IWYU pragma: keep (of an answer)
#include "proof/verdict.hpp"
#include "report/design_words.hpp"
#include "report/proof_words.hpp"
#include "report/text_table.hpp"
#include "report/value_bar.hpp"
#include "report/verdict_text.hpp"
#include "report/words.hpp"
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

class DesignWriter {
  public:
    DesignWriter(const Design& design, const TextStyle& style) : design_(design), style_(style) {}

    std::string write() {
        head();
        for (std::size_t k = 0; k < design_.answers.size(); ++k) answer(k);
        if (style_.steps) steps();
        gaps();
        not_looked_at();
        return std::move(text_);
    }

  private:
    void heading(std::string_view title) {
        text_ += "\n" + shown_heading(title, style_.colour) + "\n";
    }
    template <class... Parts>
    void line(fmt::format_string<Parts...> form, Parts&&... parts) {
        text_ += fmt::format(form, std::forward<Parts>(parts)...) + "\n";
    }

    std::string how_many_hold() const {
        const auto standing = [&](Verdict verdict) {
            return static_cast<std::size_t>(std::ranges::count(
                design_.answers, verdict, [](const Answer& a) { return a.proof->verdict; }));
        };
        const std::size_t thin = standing(Verdict::thin);
        const std::size_t hold = standing(Verdict::kept) + thin;
        if (hold == 0) return "no answer holds";
        std::string text = counted(hold, "answer holds", "answers hold");
        if (thin == 0) return text;
        return text + (hold == 1 ? ", but thin" : fmt::format(", {} of them thin", thin));
    }

    void head() {
        std::string first = design_.title.empty() ? "Design" : in_one_line(design_.title);
        first += ": " + how_many_hold();
        if (!design_.stock.empty()) first += "; values from " + in_one_line(design_.stock);
        if (design_.drafts > 0) {
            first += "; " + counted(design_.drafts, "draft", "drafts") + " looked at";
        }
        line("{}", first);
        if (design_.stopped) line("  stopped before the end: the best so far");
        if (!design_.skipped.empty()) {
            line("  {} of the drawer skipped", counted(design_.skipped.size(), "row", "rows"));
        }
        if (design_.answers.empty()) line("  no set of values has an operating point");
    }

    void answer(std::size_t number) {
        const Answer& a = design_.answers[number];
        const bool miss = a.proof->verdict == Verdict::broken;
        std::string title = miss ? "Nearest miss" : fmt::format("{}  ", number + 1);
        if (!miss) title += a.characters.empty() ? "as chosen" : characters(a);
        heading(title);
        if (a.draft) line("  {} · {} · {}", a.draft->input, a.draft->gap, a.draft->output);
        line("  {}, least reserve {}, asked {}", shown_verdict(a.proof->verdict, style_.colour),
             reserve_text(a.limit), percent(asked_reserve(a.link, a.limit)));
        line("    {}", limit_text(a.limit));
        if (!a.limit.where.empty()) line("    worst at {}", case_text(a.limit.where));
        line("  {}; {} from all supplies, nominal, in the state that takes most",
             counted(a.parts, "part", "parts"), engineering(a.current, Dimension::current));
        broken(a);
        unknown(a);
        paths(a.link);
        values(a);
        helps(a);
    }

    static std::string characters(const Answer& a) {
        std::string text;
        for (const Character c : a.characters) {
            text += text.empty() ? "" : ", ";
            text += character_name(c);
        }
        return text;
    }

    void broken(const Answer& a) {
        if (a.broken.empty()) return;
        line("  what does not hold");
        for (const auto& limit : a.broken) {
            line("    {} {} in state {}: reaches {}; {}", limit.subject, bound_text(limit),
                 limit.state, limit_figure(limit, limit.value), relaxation(a.link, limit));
        }
    }

    void unknown(const Answer& a) {
        const auto sentences = what_would_settle(*a.proof);
        if (sentences.empty()) return;
        line("  unknown, and what would settle it");
        for (const auto& sentence : sentences) line("    {}", sentence);
    }

    static std::string relaxation(const Link& link, const Limit& limit) {
        const double asked = asked_reserve(link, limit);
        const auto bound = relaxed_bound(limit, asked);
        if (!bound) return "no bound would do with the asked reserve";
        const bool at_least = limit.sense == Sense::at_least;
        const double rounded = at_least ? rounded_down(*bound) : rounded_up(*bound);
        return fmt::format("would hold if at {} {} were {}, with the asked reserve of {}",
                           at_least ? "least" : "most",
                           limit.dimension == Dimension::ratio
                               ? percent(rounded, 3)
                               : engineering_short(rounded, limit.dimension, 3),
                           at_least ? "enough" : "allowed", percent(asked));
    }

    void paths(const Link& link) {
        Table table({false, false});
        for (const Side side : {Side::input, Side::output}) {
            std::string name(side_name(side));
            for (const auto& path : paths_text(link.side(side))) {
                table.add({std::exchange(name, ""), path});
            }
        }
        text_ += table.text();
    }

    void values(const Answer& a) {
        if (a.values.empty()) return;
        line("  chosen values");
        const bool windows = std::ranges::any_of(
            a.values, [](const ChosenValue& v) { return v.window.has_value(); });
        Table table({false, false, false, false, true, false, false}, "   ");
        table.add({"part", "value", "made of", "ideal", "", windows ? "where all holds" : "", ""});
        for (const auto& v : a.values) {
            Table::Row row = {v.part, spread_text(v.value),
                              v.joint == Joint::single ? "one part" : v.text, ohms(v.ideal)};
            if (v.window) {
                row.push_back(ohms(v.window->lowest));
                row.push_back(value_bar(*v.window, v.value.nominal));
                row.push_back(ohms(v.window->highest));
            }
            table.add(std::move(row));
        }
        text_ += table.text();
        for (const auto& v : a.values) {
            if (v.window) line("    {} {}", v.part, window_text(*v.window));
        }
        line("  {}", optimum_text(a, design_.stopped));
    }

    void helps(const Answer& a) {
        if (a.helps.empty()) return;
        line("  what would help");
        Table table({false, false}, "   ");
        for (const auto& help : a.helps) {
            table.add({help.change, "least reserve " + reserve_text(help.reserve)});
        }
        text_ += table.text();
    }

    // Of all answers where they are few, else of the first.
    void steps() {
        constexpr std::size_t few = 2;
        const std::size_t told = design_.answers.size() <= few ? design_.answers.size() : 1;
        for (std::size_t k = 0; k < told; ++k) {
            const Answer& a = design_.answers[k];
            if (a.values.empty()) continue;
            heading(a.proof->verdict == Verdict::broken
                        ? "Worked steps of the nearest miss"
                        : fmt::format("Worked steps of answer {}", k + 1));
            for (const auto& value : a.values) steps_of(value);
        }
    }

    void steps_of(const ChosenValue& v) {
        line("  {} = {}{}", v.part, ohms(v.value.nominal),
             v.joint == Joint::single ? "" : fmt::format(", made of {}", v.text));
        for (const auto& why : v.why) line("    {}", why);
        if (v.around.empty()) return;
        line("    candidates, the other values as chosen");
        Table table({false, false, true, false, false}, "    ");
        table.add({"", "", "reserve", "limited by", ""});
        for (const auto& c : v.around) {
            table.add({c.taken ? "▸" : "", c.text, reserve_text(c.reserve), c.limited_by,
                       c.taken ? "taken" : ""});
        }
        text_ += table.text();
    }

    void gaps() {
        if (design_.gaps.empty()) return;
        heading("Gaps compared, each with its best draft at a first look, single values");
        Table table({false, false, true, false});
        table.add({"gap", "kind", "least reserve", "limited by"});
        for (const auto& gap : design_.gaps) {
            table.add({gap.gap, gap.kind, gap.reserve ? reserve_text(*gap.reserve) : "",
                       gap.reserve ? gap.limited_by : "ruled out: " + gap.ruled_out});
        }
        text_ += table.text();
    }

    void not_looked_at() {
        if (design_.not_looked_at.empty()) return;
        heading("Not looked at");
        for (const auto& one : design_.not_looked_at) line("  {}: {}", one.what, one.reason);
    }

    const Design& design_;
    const TextStyle& style_;
    std::string text_;
};

}  // namespace

std::string design_text(const Design& design, const TextStyle& style) {
    return DesignWriter(design, style).write();
}

}  // namespace gapwright
