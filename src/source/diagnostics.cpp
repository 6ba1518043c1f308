#include "source/diagnostics.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <set>

namespace gapwright {
namespace {

constexpr std::size_t most_columns = 110;  // of a source line in a message
constexpr std::size_t columns_before = 60;  // kept before the caret when a line is cut

// A source line split into what each column shows: one entry a character, with bytes that would
// harm a terminal replaced.
struct Shown {
    std::vector<std::string> columns;
    std::vector<std::size_t> starts;  // the byte at which each column begins
};

std::size_t sequence_length(unsigned char lead) {
    if (lead < 0x80) return 1;
    if (lead >= 0xC2 && lead < 0xE0) return 2;
    if (lead >= 0xE0 && lead < 0xF0) return 3;
    if (lead >= 0xF0 && lead < 0xF5) return 4;
    return 0;
}

Shown shown(std::string_view line) {
    Shown result;
    std::size_t at = 0;
    while (at < line.size()) {
        const auto lead = static_cast<unsigned char>(line[at]);
        std::size_t length = sequence_length(lead);
        bool whole = length > 0 && at + length <= line.size();
        for (std::size_t k = 1; whole && k < length; ++k) {
            whole = (static_cast<unsigned char>(line[at + k]) & 0xC0U) == 0x80U;
        }
        result.starts.push_back(at);
        if (!whole) {
            length = 1;
            result.columns.emplace_back("?");
        } else if (lead == '\t') {
            result.columns.emplace_back(" ");
        } else if (lead < 0x20 || lead == 0x7F || (lead == 0xC2 && length == 2 &&
                                                   static_cast<unsigned char>(line[at + 1]) < 0xA0)) {
            result.columns.emplace_back("?");
        } else {
            result.columns.emplace_back(line.substr(at, length));
        }
        at += length;
    }
    return result;
}

// The line with a caret under the place: two lines of text with a gutter.
std::string excerpt(const Place& place) {
    const auto where = place.text->line_column(place.begin);
    const std::string_view line = place.text->line(where.line);
    const std::size_t line_start = place.text->offset({where.line, 1});
    const Shown columns = shown(line);
    const auto column_of = [&](std::size_t offset) {
        const auto next = std::ranges::upper_bound(columns.starts, offset - line_start);
        const auto index = static_cast<std::size_t>(next - columns.starts.begin());
        return offset - line_start >= line.size() ? columns.columns.size()
                                                  : std::max<std::size_t>(index, 1) - 1;
    };
    std::size_t first = column_of(place.begin);
    std::size_t last = std::max(column_of(std::max(place.end, place.begin)), first + 1);
    std::size_t from = 0;
    std::size_t to = columns.columns.size();
    std::string before;
    std::string after;
    if (to > most_columns) {
        from = first > columns_before ? first - columns_before : 0;
        to = std::min(to, from + most_columns);
        if (from > 0) before = "…";
        if (to < columns.columns.size()) after = "…";
    }
    last = std::min(last, std::max(to, first + 1));
    std::string text = before;
    for (std::size_t k = from; k < to; ++k) text += columns.columns[k];
    text += after;
    const std::string number = fmt::format("{:>5}", where.line);
    const std::string gutter(number.size(), ' ');
    const std::string indent(first - from + (before.empty() ? 0 : 1), ' ');
    return fmt::format("{} | {}\n{} | {}^{}\n", number, text, gutter, indent,
                       std::string(last - first - 1, '~'));
}

std::string head(const Place& place) {
    if (!place.text) return {};
    const auto where = place.text->line_column(place.begin);
    return fmt::format("{}:{}:{}: ", place.text->name(), where.line, where.column);
}

constexpr auto cause_names = std::to_array<std::string_view>({
    "unreadable-file", "oversized-file",   "invalid-utf8",   "not-toml",      "not-csv",
    "unknown-key",     "unknown-name",     "missing-key",    "wrong-type",    "not-a-quantity",
    "wrong-unit",      "missing-unit",     "out-of-range",   "empty-spread",  "path-grammar",
    "shared-across-gap", "part-not-in-path", "part-repeated", "dangling-node", "floating-node",
    "shorted-supply",  "unlit-gap",        "contradiction",  "card-cycle",    "too-large",
});
static_assert(cause_names.size() == static_cast<std::size_t>(Cause::too_large) + 1);

char folded(char c) { return static_cast<char>(std::tolower(static_cast<unsigned char>(c))); }

// Damerau–Levenshtein distance (adjacent letters exchanged count once), case ignored.
std::size_t distance(std::string_view a, std::string_view b) {
    std::vector<std::vector<std::size_t>> d(a.size() + 1, std::vector<std::size_t>(b.size() + 1));
    for (std::size_t i = 0; i <= a.size(); ++i) d[i][0] = i;
    for (std::size_t j = 0; j <= b.size(); ++j) d[0][j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const bool same = folded(a[i - 1]) == folded(b[j - 1]);
            d[i][j] = std::min({d[i - 1][j] + 1, d[i][j - 1] + 1, d[i - 1][j - 1] + (same ? 0 : 1)});
            if (i > 1 && j > 1 && folded(a[i - 1]) == folded(b[j - 2]) &&
                folded(a[i - 2]) == folded(b[j - 1])) {
                d[i][j] = std::min(d[i][j], d[i - 2][j - 2] + 1);
            }
        }
    }
    return d[a.size()][b.size()];
}

}  // namespace

std::string_view cause_name(Cause cause) { return cause_names[static_cast<std::size_t>(cause)]; }

std::string to_text(const Diagnostic& d) {
    std::string text =
        fmt::format("{}error: {} [{}]\n", head(d.place), d.message, cause_name(d.cause));
    if (d.place.text) text += excerpt(d.place);
    if (!d.remedy.empty()) text += fmt::format("      = {}\n", d.remedy);
    if (d.other && d.other->text) {
        text += fmt::format("{}note: {}\n{}", head(*d.other), d.other_message, excerpt(*d.other));
    }
    return text;
}

std::string to_text(const Problems& problems) {
    // Files in the order in which they first come up, then by place.
    std::vector<const SourceText*> files;
    std::vector<std::pair<std::pair<std::size_t, std::size_t>, const Diagnostic*>> keyed;
    for (const auto& problem : problems) {
        const SourceText* file = problem.place.text.get();
        const auto known = std::ranges::find(files, file);
        const auto rank = static_cast<std::size_t>(known - files.begin());
        if (known == files.end()) files.push_back(file);
        keyed.push_back({{rank, problem.place.begin}, &problem});
    }
    std::ranges::stable_sort(keyed, {}, [](const auto& entry) { return entry.first; });
    std::string text;
    std::set<std::string> told;
    for (const auto& [key, problem] : keyed) {
        const std::string one = to_text(*problem);
        if (told.insert(one).second) text += one;
    }
    return text;
}

std::string nearest_name(std::string_view name, const std::vector<std::string>& candidates) {
    constexpr std::size_t longest = 60;  // names of parts, keys and cards are shorter
    if (name.size() > longest) return {};
    std::string nearest;
    std::size_t least = std::max<std::size_t>(1, name.size() / 3) + 1;
    for (const auto& candidate : candidates) {
        if (candidate.size() > longest) continue;
        const std::size_t d = distance(name, candidate);
        if (d >= least || d >= std::max(candidate.size(), name.size())) continue;
        least = d;
        nearest = candidate;
    }
    return nearest;
}

std::string did_you_mean(std::string_view name, const std::vector<std::string>& candidates) {
    const std::string nearest = nearest_name(name, candidates);
    return nearest.empty() ? "" : fmt::format(" (did you mean \"{}\"?)", nearest);
}

}  // namespace gapwright
