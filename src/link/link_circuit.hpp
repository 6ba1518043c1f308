// A link as a circuit: networks for each state, the figures of a specimen, and where each part and
// node is measured.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "link/figure_id.hpp"
#include "link/link.hpp"
#include "source/diagnostics.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// How specimens lie within a spread: anywhere alike, about the nominal (limits at ±3σ), or alike in
// the logarithm.
enum class SpreadLaw : unsigned char { uniform, normal, logarithmic };

// One figure of a specimen: what its slot stands for and how far it lies from the nominal.
struct Parameter {
    FigureId id;
    Spread spread;  // in the key's inner unit
    bool normal = false;
    Dimension dimension = Dimension::ratio;
    Range range = Range::any;  // which values nature allows
    bool assumed = false;      // nobody stated it: `spread` is all that the trade has

    // Of a range that reaches over decades none of these is likelier than another: evenly drawn,
    // nine of ten would lie in the highest.
    SpreadLaw law() const {
        if (normal) return SpreadLaw::normal;
        const bool decades = spread.lowest > 0 && spread.highest > 10 * spread.lowest;
        return decades ? SpreadLaw::logarithmic : SpreadLaw::uniform;
    }
};

// Where one placement of a part is measured. Its main port lies along its path; base or gate are a
// second port, its voltage positive when the part conducts.
struct PlacedProbes {
    Side side = Side::input;
    Port main;
    std::optional<Port> control;

    Probe current() const;                         // A, along the path
    Probe voltage() const;                         // V, along the path
    Probe power() const;                           // W, what the part turns into heat and light
    std::optional<Probe> base_current() const;     // A, into the base (npn), out of it (pnp)
    std::optional<Probe> control_voltage() const;  // V, base–emitter or gate–source, pnp mirrored
};

struct LinkCircuit {
    Circuit circuit;
    std::vector<Parameter> parameters;               // by slot
    std::vector<std::string> part_names;             // by part index, for texts
    std::vector<std::optional<PlacedProbes>> input;  // by part index
    std::vector<std::optional<PlacedProbes>> output;

    const std::optional<PlacedProbes>& of(std::size_t part, Side side) const {
        return side == Side::input ? input[part] : output[part];
    }
    // How people call a slot's figure: "R1.value"; empty for nobody's.
    std::string name_of(Slot slot) const;
    // Where a figure is kept; none where this circuit uses no such figure.
    std::optional<Slot> find(const FigureId& figure) const;
    // Every figure at its nominal.
    std::vector<double> nominal_values() const;
};

// Builds the circuit of a valid link. Errors: a coupler whose stated CTR no photocurrent can give
// (contradiction); a resistor whose value is still to be chosen (missing_key).
Expected<LinkCircuit> build_circuit(const Link& link);

// What a side's supply gives, A. Requires that the side has one.
Probe supply_current(Side side);

// The node of a side by number, as messages name it: "Q1.base", "between R1 and D1", "inside Q1".
std::string node_description(const LinkSide& side, Node node);

}  // namespace gapwright
