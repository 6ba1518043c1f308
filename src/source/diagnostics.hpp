// What is wrong with a file, told so that its writer can mend it: cause, place, remedy.
//
// Functions that read input return Expected<T>: a value, or every error found in one go. Where
// reading goes on after an error, a Problems list is filled instead and turned into the result at
// the end. Nothing here prints.
#pragma once

#include <expected>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "source/source_text.hpp"

namespace gapwright {

// One stable identifier for each cause of error; its text (see cause_name) is part of the message
// and of `--json`, and tests rely on it.
enum class Cause {
    unreadable_file,    // missing, not a file, no permission
    oversized_file,     // larger than the reader accepts
    invalid_utf8,       // bytes that are not UTF-8
    not_toml,           // breaks the TOML grammar
    not_csv,            // breaks RFC 4180
    unknown_key,        // a key, column, option or setting that this place does not have
    unknown_name,       // a state, part, node, card or kind that does not exist
    missing_key,        // a key that this place needs
    wrong_type,         // a table where text was expected, and the like
    not_a_quantity,     // text that is no number with a unit
    wrong_unit,         // a unit of another dimension
    missing_unit,       // a number alone where a unit is needed
    out_of_range,       // negative resistance, NaN, an absurd temperature
    empty_spread,       // lowest above highest, or nominal outside its limits
    path_grammar,       // a path that is not "node > part > … > node"
    shared_across_gap,  // a node or part on both sides: the isolation would be broken
    part_not_in_path,   // declared, but no path holds it
    part_repeated,      // in more than one place of the paths
    dangling_node,      // a node that only one part touches
    floating_node,      // a node with no d.c. path to its side's return
    shorted_supply,     // a supply with nothing to limit its current
    unlit_gap,          // a gap whose emitter or receiver is in no path
    contradiction,      // two statements that cannot both hold
    impossible_figure,  // a figure that no part of its kind has, or that its card contradicts
    card_cycle,         // cards that refer to each other in a circle
    not_a_picture,      // bytes that are no PNG or JPEG, or a broken one
    output_is_input,    // an output that the same run reads
    output_exists,      // an output's file is there and is not to be replaced
    untraceable,        // a curve in a picture that cannot be followed with certainty
    too_large,          // more parts, paths or states than a link may hold
};
std::string_view cause_name(Cause cause);  // e.g. "wrong-unit"

// One error.
struct Diagnostic {
    Cause cause;
    Place place;                                // the characters that are wrong
    std::string message;                        // what is wrong, one sentence, no full stop
    std::string remedy;                         // what would be right; may be empty
    std::optional<Place> other = std::nullopt;  // the second place when two lines conflict
    std::string other_message = {};             // what stands there
};

using Problems = std::vector<Diagnostic>;

// The list of one problem.
inline Problems only(Diagnostic diagnostic) {
    Problems problems;
    problems.push_back(std::move(diagnostic));
    return problems;
}

template <class T>
using Expected = std::expected<T, Problems>;

// The message as people read it (no colour, lines end with '\n'):
//   bell.link.toml:12:36: error: a resistance is in ohms, not volts [wrong-unit]
//      12 | R1 = { kind = "resistor", value = "330 V" }
//         |                                    ^~~~~
//         = write for example "330 Ω", "4.7 kΩ" or "4k7"
// Control characters and bytes that are not UTF-8 are shown escaped (display.hpp), long lines are
// cut around the caret. A place without a text shows the message alone.
std::string to_text(const Diagnostic& diagnostic);

// All messages, in the order of their places in each file, repeated ones once.
std::string to_text(const Problems& problems);

// The name among `candidates` nearest to `name`, for "did you mean …"; empty when none is near
// (more than a third of the longer one's letters differ). Distance: Damerau–Levenshtein, case
// ignored; of equally near ones the first.
std::string nearest_name(std::string_view name, const std::vector<std::string>& candidates);

// ` (did you mean "R1"?)` or an empty text, to append to a message.
std::string did_you_mean(std::string_view name, const std::vector<std::string>& candidates);

}  // namespace gapwright
