#include "source/diagnostics.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "source/display.hpp"
#include "source/source_text.hpp"

namespace gapwright {
namespace {

struct NamedCause {
    Cause cause;
    std::string_view name;
};

constexpr std::array named_causes = {
    NamedCause{Cause::unreadable_file, "unreadable-file"},
    NamedCause{Cause::oversized_file, "oversized-file"},
    NamedCause{Cause::invalid_utf8, "invalid-utf8"},
    NamedCause{Cause::not_toml, "not-toml"},
    NamedCause{Cause::not_csv, "not-csv"},
    NamedCause{Cause::unknown_key, "unknown-key"},
    NamedCause{Cause::unknown_name, "unknown-name"},
    NamedCause{Cause::missing_key, "missing-key"},
    NamedCause{Cause::wrong_type, "wrong-type"},
    NamedCause{Cause::not_a_quantity, "not-a-quantity"},
    NamedCause{Cause::wrong_unit, "wrong-unit"},
    NamedCause{Cause::missing_unit, "missing-unit"},
    NamedCause{Cause::out_of_range, "out-of-range"},
    NamedCause{Cause::empty_spread, "empty-spread"},
    NamedCause{Cause::path_grammar, "path-grammar"},
    NamedCause{Cause::shared_across_gap, "shared-across-gap"},
    NamedCause{Cause::part_not_in_path, "part-not-in-path"},
    NamedCause{Cause::part_repeated, "part-repeated"},
    NamedCause{Cause::dangling_node, "dangling-node"},
    NamedCause{Cause::floating_node, "floating-node"},
    NamedCause{Cause::shorted_supply, "shorted-supply"},
    NamedCause{Cause::unlit_gap, "unlit-gap"},
    NamedCause{Cause::contradiction, "contradiction"},
    NamedCause{Cause::impossible_figure, "impossible-figure"},
    NamedCause{Cause::card_cycle, "card-cycle"},
    NamedCause{Cause::not_a_picture, "not-a-picture"},
    NamedCause{Cause::output_is_input, "output-is-input"},
    NamedCause{Cause::output_exists, "output-exists"},
    NamedCause{Cause::untraceable, "untraceable"},
    NamedCause{Cause::too_large, "too-large"},
};

// "bell.link.toml:12:36: error: …", or without the place where there is none.
std::string headline(const Place& place, std::string_view grade, std::string_view message) {
    if (!place.text) return fmt::format("{}: {}", grade, printable(message));
    const auto [line, column] = place.text->line_column(place.begin);
    return fmt::format("{}:{}:{}: {}: {}", printable(place.text->name()), line, column, grade,
                       printable(message));
}

// As many spaces as the line's number takes, with the margins about it.
std::string empty_gutter(const Place& place) {
    const std::size_t line = place.text ? place.text->line_column(place.begin).line : 0;
    return std::string(fmt::formatted_size("   {} ", line), ' ');
}

// The line of a place and the caret line under it.
std::string excerpt(const Place& place) {
    const std::size_t number = place.text->line_column(place.begin).line;
    const std::string_view line = place.text->line(number);
    const std::size_t start = place.text->offset({.line = number, .column = 1});
    const std::size_t from = place.begin > start ? place.begin - start : 0;
    const std::size_t to = place.end > start ? place.end - start : 0;
    const Underlined shown = underline(line, from, to);
    return fmt::format("   {} | {}\n{}| {}\n", number, shown.line, empty_gutter(place),
                       shown.carets);
}

bool same(const Diagnostic& a, const Diagnostic& b) {
    return a.cause == b.cause && a.place.text == b.place.text && a.place.begin == b.place.begin &&
           a.place.end == b.place.end && a.message == b.message;
}

}  // namespace

std::string_view cause_name(Cause cause) {
    const auto found = std::ranges::find(named_causes, cause, &NamedCause::cause);
    return found == named_causes.end() ? "defect" : found->name;
}

std::string to_text(const Diagnostic& diagnostic) {
    std::string text =
        fmt::format("{} [{}]\n", headline(diagnostic.place, "error", diagnostic.message),
                    cause_name(diagnostic.cause));
    if (diagnostic.place.text) text += excerpt(diagnostic.place);
    if (!diagnostic.remedy.empty()) {
        text +=
            fmt::format("{}= {}\n", empty_gutter(diagnostic.place), printable(diagnostic.remedy));
    }
    if (diagnostic.other) {
        text += headline(*diagnostic.other, "note", diagnostic.other_message) + '\n';
        if (diagnostic.other->text) text += excerpt(*diagnostic.other);
    }
    return text;
}

std::string to_text(const Problems& problems) {
    // Files in the order in which they are first named, places in the order of each file.
    std::vector<const SourceText*> files;
    std::vector<const Diagnostic*> ordered;
    for (const Diagnostic& d : problems) {
        ordered.push_back(&d);
        if (std::ranges::find(files, d.place.text.get()) == files.end()) {
            files.push_back(d.place.text.get());
        }
    }
    const auto rank = [&](const Diagnostic* d) {
        return std::ranges::find(files, d->place.text.get()) - files.begin();
    };
    std::ranges::stable_sort(ordered, [&](const Diagnostic* a, const Diagnostic* b) {
        return std::pair(rank(a), a->place.begin) < std::pair(rank(b), b->place.begin);
    });
    std::string text;
    auto first_of_place = ordered.begin();  // repeated ones begin at the same place
    for (auto d = ordered.begin(); d != ordered.end(); ++d) {
        const bool same_place = (*first_of_place)->place.text == (*d)->place.text &&
                                (*first_of_place)->place.begin == (*d)->place.begin;
        if (!same_place) first_of_place = d;
        if (std::any_of(first_of_place, d, [&](const auto* e) { return same(*e, **d); })) continue;
        text += to_text(**d);
    }
    return text;
}

}  // namespace gapwright
