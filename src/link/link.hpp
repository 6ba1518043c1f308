// A link as its file states it, validated: every name resolved, every path a run of parts between
// nodes, every figure with its unit and spread. See docs/files.md for the file.
#pragma once

#include <cstddef>
#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "link/meter.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "units/quantity.hpp"

namespace gapwright {

struct Surroundings {
    Spread temperature = exactly(298.15);   // K; lowest and highest are the range
    Spread light = exactly(0);              // lx, likewise
    std::optional<double> working_voltage;  // V, highest between the two sides
    double service = 0;                     // s
    double reserve = 0.1;                   // asked reserve, share of a bound
    double stretch = 1;                     // asked: how wide every spread may be, times itself
};

// Where a part stands on one side. Current flows from `from` to `to` along its path.
struct Placement {
    Side side = Side::input;
    Node from = Node::side_return;
    Node to = Node::side_return;
    std::optional<Node> control;  // base or gate, where a path names it
    std::size_t path = 0;         // which path of the side, from 0
    Place place;                  // its name in the path
};

struct Part {
    std::string name;
    Place place;  // its name under [parts]
    Description description;
    bool readable = true;  // false only while reading, for one whose description has an error
    // One placement; a gap has two, its emitter's and its receiver's.
    std::optional<Placement> input;
    std::optional<Placement> output;

    bool is_gap() const {
        return description.kind == Kind::coupler || description.kind == Kind::pair;
    }
    const std::optional<Placement>& on(Side side) const {
        return side == Side::input ? input : output;
    }
};

struct PathItem {
    std::string name;
    Place place;
    std::optional<std::size_t> part;  // its index in Link::parts; none for a node
};
using Path = std::vector<PathItem>;

// A side's supply among its nodes, whether it has one or not.
inline constexpr Node supply_node = static_cast<Node>(1);

// One side: its supply, its paths, its nodes.
struct LinkSide {
    std::optional<Description> supply;  // of kind battery; none when no path needs it
    Place supply_place;
    std::vector<Path> paths;
    // By node index; unnamed nodes are described by their neighbours, "between R1 and D1".
    std::vector<std::string> node_names;
    std::vector<bool> node_is_named;

    // The node of that name, if there is one.
    std::optional<Node> find_node(std::string_view name) const;
};

// A setting of a contact or logic output.
enum class Setting : std::uint8_t { open, closed, low, high };
std::string_view setting_word(Setting setting);  // "open", "closed", "low", "high"

struct State {
    std::string name;
    Place place;
    std::map<std::size_t, Setting> settings;  // by part index; every contact and logic output
    std::vector<std::size_t> assumed;         // parts whose setting the file leaves out
    // Of the service life, 0 … 1; known of all states or of none, together not above 1.
    std::optional<double> share = {};
};

// [signal]: a train of pulses between two states.
struct Signal {
    std::size_t rest = 0;    // the state between pulses
    std::size_t active = 1;  // the state during a pulse
    double period = 0;       // s
    double width = 0;        // s, of a pulse
    double bit = 0;          // s: what errors of pulse width are a share of
    bool by_rate = true;     // stated as a signalling rate, not as a frequency
    Place place;
};

// [disturbance]: what happens to the link besides its own signal, in every state.
struct Disturbance {
    double edge = 0;       // V/s, of the voltage between the sides; zero for none
    double amplitude = 0;  // V, how far it goes
    double dip = 0;        // share of each supply's voltage that is missing; zero for none
    double dip_time = 0;   // s
};

// [analogue]: a signal without steps, about a state at rest.
struct Analogue {
    std::size_t state = 0;             // the bias
    std::optional<std::size_t> drive;  // a logic output of the input side; none: its supply
    double swing = 0;                  // V, peak, either side of the drive's level
    Node output = Node::side_return;   // of the output side, against its return
    Place place;
};

// [insulation]: what the distances between the two sides are asked to be, after IEC 60664-1. The
// working voltage is that of the surroundings.
struct Insulation {
    enum class Grade : std::uint8_t { functional, basic, reinforced };
    enum class Group : std::uint8_t { i, ii, iiia, iiib };  // by comparative tracking index
    Grade grade = Grade::basic;
    std::optional<double> mains = {};  // V r.m.s., line to neutral, up to 1000; none: no mains
                                       // feeds either side directly
    int overvoltage_category = 2;      // I to IV as 1 to 4
    int pollution_degree = 2;          // 1 to 3
    Group group = Group::iiia;         // of the board and of what lies along its surface
    Place place = {};
};

// A promise about one state, about the change from one to another, or about the signal.
struct Promise {
    enum class Quantity : std::uint8_t { current, voltage, power };
    enum class OfSignal : std::uint8_t { width_error, eye, highest_rate };
    Quantity quantity = Quantity::voltage;
    Side side = Side::input;
    std::size_t part = 0;           // of a current or power
    bool receiver = false;          // a current of a gap's receiver
    bool control = false;           // a current into a base
    std::string text;               // "current D2", "voltage supply to coil"
    Node plus = Node::side_return;  // of a voltage
    Node minus = Node::side_return;
    std::size_t state = 0;              // a promise at rest
    std::optional<std::size_t> before;  // a change: from this state to `state`
    std::optional<OfSignal> signal;
    std::optional<double> at_least;  // SI
    std::optional<double> at_most;
    std::optional<double> reaches;  // of a change; of a signal the level at which pulses are timed
    std::optional<double> within;   // s
    double reserve = 0.1;           // share of the bound
    Place place;

    bool at_rest() const { return !before && !signal; }
};

// A text of [choose] that is used as it was written.
struct ChosenText {
    std::string text;  // a path, or a quantity in quotes
    Place place;
};

// [choose]: where values to be chosen come from. Without any of it: E24, 10 Ω … 1 MΩ.
struct ChosenStock {
    std::optional<ChosenText> drawer = {};  // path of a drawer, relative to the file's folder
    int series = 24;                        // values a decade of a preferred series
    double tolerance = 0.05;                // of the series
    double power = 0.25;                    // W, of the series
};

// A figure of a part that is unlikely, though it can be.
struct Doubt {
    std::optional<std::size_t> part = {};  // of Link::parts; none: a supply's
    std::string text = {};                 // for people, whole sentences that name the part
};

struct Link {
    std::string title;
    std::string about;
    std::string file;
    Surroundings surroundings;
    LinkSide input;
    LinkSide output;
    std::vector<Part> parts;  // in the order of the file
    std::vector<State> states;
    std::vector<Promise> promises;
    std::optional<Signal> signal;
    std::optional<Disturbance> disturbance;
    std::optional<Analogue> analogue;
    std::optional<Insulation> insulation = {};
    Meter meter = {};
    ChosenStock stock;
    // What fit/link_cards found of its parts' figures; reading alone finds none.
    std::vector<Doubt> doubts = {};

    const LinkSide& side(Side which) const { return which == Side::input ? input : output; }
    LinkSide& side(Side which) { return which == Side::input ? input : output; }
    std::optional<std::size_t> find_part(std::string_view name) const;
    std::optional<std::size_t> find_state(std::string_view name) const;
    // State::share by state; empty where it is not known how long the link is in which.
    std::vector<double> shares() const;
    // The parts whose value is still to be chosen: such a link cannot be solved.
    std::vector<std::size_t> to_choose() const;
};

std::string_view side_name(Side side);  // "input", "output"

// The cards that a link file in `folder` can name.
CardShelf shelf_beside(const std::string& folder);

// Reads and validates a link file. `path` is also where its cards are looked for: its folder, then
// `cards/` in it. Reports every error that it finds, not only the first.
Expected<Link> read_link_file(const std::string& path);

// The same from a text; cards are looked for in `folder` and `folder/cards`.
Expected<Link> read_link(std::shared_ptr<const SourceText> text, const std::string& folder);

// The same with the cards of a shelf.
Expected<Link> read_link(std::shared_ptr<const SourceText> text, CardShelf shelf);

}  // namespace gapwright
