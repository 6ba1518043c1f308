// What a fault does to a link, in small steps. Each changes a valid link so that build_circuit can
// still build it; its paths and words are left as they were. Parts keep their indices: what is
// added stands behind them.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include "card/description.hpp"
#include "card/key.hpp"
#include "circuit/index.hpp"
#include "link/figure_id.hpp"
#include "link/link.hpp"
#include "units/quantity.hpp"

namespace gapwright::edits {

// In place of a connection that is not there: what dust and a board's surface leave, Ω (own
// choice). It also gives every node a path to the return.
inline constexpr double no_connection = 3e9;
// In place of a joint that is open: leakage over flux and dust, Ω (own choice). Wider spans would
// reach what the solver's current balance of 1 pA resolves.
inline constexpr Spread open_joint = {5e9, 1e9, 3e10};
// In place of a conductor: solder, a whisker, a junction that melted, Ω (own choice).
inline constexpr Spread short_circuit = {0.2, 0.02, 2};

// A terminal of a part: where current enters along its path, where it leaves, base or gate.
enum class Terminal : std::uint8_t { from, to, control };

struct Pin {
    std::size_t part = 0;
    Side side = Side::input;
    Terminal terminal = Terminal::from;
    friend bool operator==(const Pin&, const Pin&) = default;
};

Placement& placement(Link& link, std::size_t part, Side side);
Node& node_at(Link& link, const Pin& pin);
Node node_of(const Link& link, const Pin& pin);

// Whether something but that part holds a node: a resistance, winding or driver on its way to a
// supply or the return.
bool is_held(const Link& link, Side side, Node node, std::size_t without);

// A node that nothing touches yet.
Node add_node(Link& link, Side side, std::string name);

// The name of the part that the next edit adds to a link of so many parts.
std::string bridge_name(std::size_t parts);

// A resistance, Ω, between two nodes of one side.
void bridge(Link& link, Side side, Node a, Node b, const Spread& resistance);

// A resistance, Ω, between a pin and what it was joined to.
void put_in_series(Link& link, const Pin& pin, const Spread& resistance);

// A resistance, Ω, more within a side's supply, or in its lead. Requires that the side has one.
void put_behind_supply(Link& link, Side side, const Spread& resistance);

// The diode in a MOSFET's body is a part of its own behind the link's; it goes with the MOSFET's
// pins, wherever an edit put them.
void add_body_diode(Link& link, std::size_t mosfet);
void follow_body(Link& link, std::size_t mosfet);
bool is_body_diode(const Part& part);

// Joins the pin to another node in place of its own.
void move_pin(Link& link, const Pin& pin, Node to);

// Exchanges the nodes of two pins of one side.
void exchange_pins(Link& link, const Pin& a, const Pin& b);

// The description of a part or, of an open pair, that of its emitter or receiver.
Description& description(Link& link, std::size_t part, FigureId::Of of = FigureId::Of::part);

// A card that the program brings with it. Throws std::logic_error where there is none.
std::shared_ptr<const Description> shipped_description(const std::string& card);

// Sets a figure that the part's circuit uses; it then varies by `spread`.
void set_figure(Description& of, Key key, const Spread& spread);

// `nominal` times a factor anywhere between the two.
Spread times(double nominal, double lowest, double highest);

}  // namespace gapwright::edits
