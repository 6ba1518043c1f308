// Adds parts to one side's network, element by element. Internal to the layer.
#pragma once

#include <map>
#include <optional>
#include <utility>
#include <vector>

#include "card/description.hpp"
#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "link/figure_id.hpp"
#include "link/link_circuit.hpp"
#include "units/dimension.hpp"

namespace gapwright::building {

// The slots of one part's figures, by key. A slot is made when a figure is first asked for, so that
// a specimen keeps only what its circuit uses.
class Slots {
  public:
    // Of the figures of `owner`, whose key counts for nothing. Keeps references to both others.
    Slots(std::vector<Parameter>& parameters, const FigureId& owner, const Description& description)
        : parameters_(&parameters), owner_(owner), description_(&description) {}

    const Description& description() const { return *description_; }

    // The slot of a figure that the description has.
    Slot operator()(Key key) const;
    // The slot of a figure that it may have.
    std::optional<Slot> find(Key key) const;
    // The slot of the first condition of an "X at Y" figure, if it has that figure.
    std::optional<Slot> condition(Key key) const;

  private:
    std::vector<Parameter>* parameters_;
    FigureId owner_;
    const Description* description_;
    mutable std::map<std::pair<Key, bool>, Slot> made_;  // by key; true: of its condition
};

// Adds a figure of its own, beside those of the parts.
Slot add_parameter(std::vector<Parameter>& parameters, const FigureId& id, const Figure& figure,
                   Dimension dimension, Range range = Range::from_zero);

// One side's network in one state.
class Adder {
  public:
    explicit Adder(Network& network) : network_(network) {}

    Node new_node();

    ElementIndex resistance(Node from, Node to, Slot slot);

    // A part's resistance in series at `from`: the node behind it, `from` itself when it is zero in
    // every specimen.
    Node behind(Node from, const Slots& slots, Key key);
    // The same at the far end: the node before it.
    Node before(Node to, const Slots& slots, Key key);

    ElementIndex junction(Node anode, Node cathode, const Slots& slots);
    ElementIndex breakdown(Node cathode, Node anode, const Slots& slots);
    // The intrinsic transistor with its collector resistance; a darlington when the figures have a
    // second gain. Terms of its main and base currents are added to `probes`.
    void transistor(Node from, Node to, std::optional<Node> base, bool pnp, const Slots& slots,
                    std::optional<GapIndex> lit_by, PlacedProbes& probes);

    void light_resistor(Node from, Node to, const Slots& slots, GapIndex lit_by,
                        PlacedProbes& probes);

    ElementIndex add(Element element);

  private:
    Network& network_;
};

// The photocurrent ratio at which a coupler has the current transfer ratio `ctr` at an emitter
// current and collector–emitter voltage, all else nominal and at the reference temperature; none
// when no photocurrent gives it.
std::optional<double> photocurrent_ratio_for(double ctr, double emitter_current,
                                             double collector_emitter_voltage,
                                             const Description& coupler);

}  // namespace gapwright::building
