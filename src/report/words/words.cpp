#include "report/words/words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "link/link.hpp"
#include "proof/cases/case.hpp"
#include "proof/cautions/cautions.hpp"
#include "proof/proof.hpp"
#include "source/terminal_text.hpp"
#include "time/timed_measure.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"

namespace gapwright {
namespace {

Emphasis emphasis_of(Verdict verdict) {
    switch (verdict) {
        case Verdict::kept:
            return Emphasis::good;
        case Verdict::thin:
        case Verdict::unknown:
            return Emphasis::doubtful;
        case Verdict::broken:
            break;
    }
    return Emphasis::bad;
}

std::string condition_text(const CaseFigure& f) {
    std::string value = engineering_short(f.value, f.dimension, 3);
    if (f.name == "light") return value + " of light";
    if (f.name == "age") return f.value == 0 ? "new" : "aged " + value;
    return value;
}

}  // namespace

std::string_view verdict_sign(Verdict verdict) {
    switch (verdict) {
        case Verdict::kept:
            return "✓ kept";
        case Verdict::thin:
            return "! thin";
        case Verdict::unknown:
            return "? unknown";
        case Verdict::broken:
            break;
    }
    return "✗ broken";
}

std::string spoken_key(std::string key) {
    std::ranges::replace(key, '_', ' ');
    return key;
}

std::string share_of_spread(double share) {
    constexpr double nearly_all = 0.99;
    return share > nearly_all ? "over 99 %" : percent(share, 2);
}

std::string drawn_specimens(const Proof& proof) {
    if (proof.samples >= proof.asked) return fmt::format("{}", proof.samples);
    return fmt::format("{} of {}", proof.samples, proof.asked);
}

std::string spoken_figure(const std::string& name) {
    std::string text = name;
    if (text.ends_with(".value")) text.resize(text.size() - std::string_view(".value").size());
    if (text.ends_with(".supply.voltage")) {
        text.resize(text.size() - std::string_view(".voltage").size());
    }
    for (char& c : text) {
        if (c == '.' || c == '_') c = ' ';
    }
    return text;
}

std::string shown_stretch(const std::optional<Stretch>& stretch) {
    if (!stretch) return "";
    if (stretch->beyond) return fmt::format("over {:.3g}", stretch->factor);
    return fmt::format("{:.2f}", std::floor(stretch->factor * 100) / 100);  // the careful side
}

std::string stretch_sentence(const LinkStretch& link) {
    const Stretch& s = link.stretch;
    if (s.beyond) return fmt::format("holds with every spread {:.3g} times as wide", s.factor);
    if (s.factor == 0) {
        return fmt::format("{}, {}, does not hold even without any spread", spoken_key(link.what),
                           link.state);
    }
    const std::string through =
        s.through.empty() ? "" : fmt::format(", through {}", spoken_figure(s.through));
    return fmt::format(
        "{} {} times as wide; the first to give way is {}, {}{}",
        s.factor < 1 ? "would hold with every spread" : "holds until every spread is",
        shown_stretch(s), spoken_key(link.what), link.state, through);
}

std::string shown_verdict(Verdict verdict, bool colour) {
    return colour ? emphasised(verdict_sign(verdict), emphasis_of(verdict))
                  : std::string(verdict_sign(verdict));
}

std::string shown_heading(std::string_view title, bool colour) {
    const std::string line = in_one_line(title);
    return colour ? emphasised(line, Emphasis::heading) : line;
}

std::string shown_section(std::string_view title, std::string_view text, bool colour) {
    return text.empty() ? "" : fmt::format("\n{}\n{}", shown_heading(title, colour), text);
}

std::string shown_title(const Link& link) {
    return in_one_line(link.title.empty() ? link.file : link.title);
}

std::string shown_prose(std::string prose) {
    std::ranges::replace(prose, '\n', ' ');
    return prose;
}

std::string beside(double value, double bound, Dimension dimension) {
    constexpr int usual = 3;
    constexpr int most = 9;
    int digits = usual;
    while (digits < most && value != bound &&
           engineering(value, dimension, digits) == engineering(bound, dimension, digits)) {
        ++digits;
    }
    return engineering(value, dimension, digits);
}

bool is_never(const PromiseResult& promise, double value) {
    return promise.dimension == Dimension::time && value >= never;
}

bool has_bar(const PromiseResult& promise) {
    const double worst = promise.worst().value;
    return !std::isnan(worst) && !is_never(promise, worst);
}

std::string promise_value(const PromiseResult& promise, double value, std::optional<int> digits) {
    if (std::isnan(value)) return "–";
    if (is_never(promise, value)) {
        // What it comes to is known of the worst specimen alone.
        const bool known = promise.comes_to && value == promise.worst().value;
        return known
                   ? "never: comes to " + engineering(*promise.comes_to, promise.reaches_dimension)
                   : "never";
    }
    if (promise.dimension == Dimension::ratio) return percent(value, 3);
    return digits ? engineering(value, promise.dimension, *digits)
                  : beside(value, promise.worst().bound, promise.dimension);
}

std::vector<Caution> cautions_to_tell(const Proof& proof) {
    std::vector<Caution> cautions;
    for (const auto& one : proof.not_judged) {
        cautions.push_back(
            {.id = "not-judged",
             .text = fmt::format("Not judged: {}, {}: {}.", one.what, one.state, one.reason)});
    }
    cautions.insert(cautions.end(), proof.cautions.begin(), proof.cautions.end());
    return cautions;
}

std::string promise_bounds(const PromiseResult& promise) {
    const auto shown = [&](double bound) {
        return promise.dimension == Dimension::ratio ? percent(bound, 3)
                                                     : engineering_short(bound, promise.dimension);
    };
    std::string text;
    if (promise.at_least) text = "≥ " + shown(*promise.at_least);
    if (promise.at_most) text += (text.empty() ? "≤ " : ", ≤ ") + shown(*promise.at_most);
    return text;
}

std::string case_text(const Case& figures) {
    constexpr std::size_t most = 4;
    constexpr double least = 0.01;  // of the largest effect
    std::string text;
    std::size_t told = 0;
    std::size_t untold = 0;
    double largest = 0;
    for (const auto& f : figures) largest = std::max(largest, f.effect);
    std::string conditions;
    for (const auto& f : figures) {
        if (f.name == "temperature" || f.name == "light" || f.name == "age") {
            if (f.effect >= least * largest) conditions += ", " + condition_text(f);
        } else if (f.effect < least * largest || told == most) {
            ++untold;
        } else {
            ++told;
            const double off = f.nominal == 0 ? 0 : (f.value - f.nominal) / std::abs(f.nominal);
            text += fmt::format(", {} {}", spoken_figure(f.name),
                                engineering_short(f.value, f.dimension, 3));
            if (off != 0)
                text += fmt::format(" ({}{})", off > 0 ? "+" : "−", percent(std::abs(off), 2));
        }
    }
    if (untold > 0) text += fmt::format(", {} more", untold);
    text += conditions;
    return text.size() > 2 ? text.substr(2) : "the same everywhere";
}

}  // namespace gapwright
