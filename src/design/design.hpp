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

#include "design/needs/draft.hpp"
#include "design/values/aim.hpp"
#include "design/values/stock.hpp"
#include "link/link.hpp"
#include "population/engine.hpp"
#include "proof/cases/case.hpp"
#include "proof/verdict.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {

struct Proof;

// What is true of an answer among the answers shown, and why it stands there.
enum class Character : std::uint8_t {
    first_choice,  // what an experienced hand takes; the first answer, and it alone
    most_stretch,
    fewest_parts,
    least_current,
    from_drawer,  // every part of it lies in the drawer
    other_gap,    // another kind of gap than the first answer's
};
std::string_view character_name(Character character);  // "first choice" …

// A check of good practice (values/practice.hpp) that an answer misses.
struct Objection {
    double share = 0;        // how far it is missed, 0 … 1
    std::string part = {};   // "Q1"
    std::string state = {};  // empty where no state tells
    std::string name = {};   // "base drive"
    std::string found = {};  // "131 µA"
    std::string asked = {};  // "830 µA, a twentieth of the collector current into the base"
    std::string reason = {};
    bool idle = false;  // the part does nothing at all: no answer
};

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
    std::string why_not = {};  // what it is worse in: "base drive of Q1", "more parts"
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

// What would help: a change and what it makes of the least reserve and the stretch.
struct Help {
    std::string change;  // "Four-pin coupler, gain class C, as U1"
    double reserve = 0;
    std::optional<double> stretch = {};
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
    Aim aim = Aim::first_choice;
    std::vector<Objection> objections = {};       // of good practice
    std::vector<std::string> not_in_drawer = {};  // cards of its parts, where a drawer is named
    // The states as which the link stands when its input side is dead (judging/when_dead.hpp).
    std::vector<std::string> when_dead = {};
    std::string gap_kind = {};       // of a need: "coupler", "infrared pair" …
    bool home_made = false;          // its gap is no packaged coupler
    bool from_drawer = false;        // every part of it lies in the drawer
    bool limit_is_fixed = false;     // no value on offer nearby changes the least reserve
    std::size_t source = 0;          // which of the sets found it was made of
    std::string against_first = {};  // what it has over the first answer, and what it pays
    double sets_on_offer = 0;        // combinations of values
    bool all_looked_at = false;      // none of them has more reserve
};

// What one gap, or one way to build the output side, comes to for a need: its best draft, or why it
// cannot be.
struct Comparison {
    std::string name;  // "Four-pin coupler, gain class B", "load in the collector"
    std::string kind;  // of a gap: "coupler", "infrared pair", "lamp and light-dependent resistor"
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
    std::vector<Comparison> gaps;
    std::vector<Comparison> outputs;
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
    std::size_t samples = 100000;    // of each answer's proof
    std::size_t timed_samples = 20;  // likewise, of what takes waveforms
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
