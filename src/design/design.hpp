// A designed link: what is to be chosen, chosen; and what a person wants to know of it.
#pragma once

#include <cstddef>
#include <cstdint>
#include <expected>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "design/draft.hpp"
#include "design/stock.hpp"
#include "link/link.hpp"
#include "population/engine.hpp"
#include "proof/case.hpp"
#include "proof/verdict.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {

struct Proof;

// Why an answer stands among the answers.
enum class Character : std::uint8_t {
    most_reserve,
    fewest_parts,
    least_current,
    from_drawer,  // every part of it lies in the drawer
    other_gap,    // the best with another kind of gap
};
std::string_view character_name(Character character);  // "most reserve" …

// What limits a link: a bound, and how it stands in the worst case.
struct Limit {
    std::string state;
    std::string subject;  // "voltage supply to coil", "U1 forward current"
    Dimension dimension = Dimension::voltage;
    Sense sense = Sense::at_most;
    bool is_promise = false;
    double bound = 0;    // as it holds there, derated
    double value = 0;    // in the worst case
    double reserve = 0;  // share of the bound; negative where it is broken
    Case where = {};     // the figures of the worst case
};

// One candidate for a value, the others as chosen.
struct Alternative {
    std::string text;        // "3.3 kΩ", "2.7 kΩ + 220 Ω"
    double ohms = 0;         // nominal
    double reserve = 0;      // the link's least, in the worst case
    std::string limited_by;  // "K1 voltage, on"
    bool taken = false;
};

// The values of one resistor with which everything holds, the others as chosen.
struct ValueWindow {
    double lowest = 0;  // Ω, of what is on offer at all
    double highest = 0;
    double holds_from = 0;  // Ω; every bound is kept between these; above holds_to where none is
    double holds_to = 0;
    bool open_below = false;  // everything holds down to `lowest`
    bool open_above = false;
    std::string ends_below = {};  // what breaks first below: "U1 forward current, on"
    std::string ends_above = {};
};

// How one value was found, so that a person can follow it with a pencil.
struct ChosenValue {
    std::string part;  // "R1"
    std::string text;  // "270 Ω + 22 Ω"
    Joint joint = Joint::single;
    Spread value;      // Ω
    double ideal = 0;  // Ω: what would leave the greatest reserve if it were to be had
    std::vector<std::string> why = {};     // design current and why, drops, ideal resistance
    std::vector<Alternative> around = {};  // ascending
    std::optional<ValueWindow> window = {};
};

// What would help: a change and what it makes of the least reserve.
struct Help {
    std::string change;  // "Four-pin coupler, gain class C, as U1"
    double reserve = 0;
};

struct Answer {
    std::vector<Character> characters;
    std::optional<Draft> draft;               // of a need
    std::string text;                         // the whole link file, values written in
    Link link = {};                           // as read from `text`
    std::shared_ptr<const Proof> proof = {};  // of that link
    std::size_t parts = 0;                    // of the whole link
    double current = 0;  // A: all supplies together, nominal, in the state that takes most
    Limit limit = {};    // the least reserve
    std::vector<Limit> broken = {};  // every bound that does not hold, the worst first
    std::vector<ChosenValue> values = {};
    std::vector<Help> helps = {};
    double sets_on_offer = 0;    // combinations of values
    bool all_looked_at = false;  // none of them has more reserve
    // No set on offer has more reserve than this, proven; nothing where there is no proof.
    std::optional<double> most_possible = {};
};

// What one gap comes to for a need: its best draft, or why it cannot be.
struct GapComparison {
    std::string gap;   // "Four-pin coupler, gain class B"
    std::string kind;  // "coupler", "infrared pair", "lamp and light-dependent resistor"
    std::optional<double> reserve;  // of its best draft; none where it is ruled out
    std::string limited_by;         // "voltage signal at most 0.8 V, off: daylight"
    std::string ruled_out;          // "no insulation rating", "too slow: 40 ms against 16 µs"
};

// A draft or set of values that no answer could be made of; it takes no other along.
struct LeftOut {
    std::string what;    // "pin sinks the emitter · White LED and my cell · load in the collector"
    std::string reason;  // "no set of values has an operating point"
};

struct Design {
    std::string title;
    std::string stock;            // "drawer.csv", "the E24 series"
    Problems skipped;             // rows of the drawer that could not be read
    std::vector<Answer> answers;  // ranked; where none is kept: the nearest miss alone
    std::size_t drafts = 0;       // looked at, of a need
    std::vector<GapComparison> gaps;
    std::vector<LeftOut> not_looked_at;
    bool stopped = false;  // by the user: the best so far
};

struct DesignProgress {
    std::size_t done = 0;
    std::size_t all = 0;
    std::optional<double> best;  // least reserve so far
};

struct DesignOptions {
    std::size_t most_answers = 5;
    std::uint64_t seed = 1;
    std::size_t samples = 100000;  // of each answer's proof
    double proof_time = 2;         // s, for the proof that no other values have more reserve
    EngineOptions engine = {};
    std::function<void(const DesignProgress&)> progress = {};
};

// Designs what a file leaves open: values of a link (`value = "choose"`), or the circuit of a need.
// Errors: those of read_checked_link and read_checked_need; missing_key where nothing is to be
// chosen.
struct DesignFailure {
    Problems problems = {};    // bad input
    std::string message = {};  // the computation failed
    bool stopped = false;
};
std::expected<Design, DesignFailure> design_file(const std::string& path,
                                                 const DesignOptions& options);

// The same of a text whose cards and drawer are looked for in `folder`.
std::expected<Design, DesignFailure> design_of(const std::shared_ptr<const SourceText>& text,
                                               const std::string& folder,
                                               const DesignOptions& options);

}  // namespace gapwright
