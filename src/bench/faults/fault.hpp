// What can be wrong with a built link. A fault is an edit of the link; its dictionary is a table of
// small edits, one function for each kind of part (fault_table.cpp).
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "bench/meter/bench_circuit.hpp"
#include "link/figure_id.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "units/dimension.hpp"

namespace gapwright {

// A figure that the fault changes and that readings tell of.
struct FaultFigure {
    FigureId figure;     // of the faulty circuit
    std::string words;   // before the figure: "R3 reads as"
    double nominal = 0;  // as it should be, in the parameter's inner unit; 0: there is none
    Dimension dimension = Dimension::ratio;
    bool as_share = false;  // told as a share of the nominal
};

// What a part shows by itself, a lead lifted, where its circuit does not tell: a part that is dead
// inside reads otherwise than one with a bad joint.
struct ByItself {
    std::size_t part = 0;  // of the link
    bool open = false;     // else shorted
};

struct SideNode {
    Side side = Side::input;
    Node node = Node::side_return;
};

// What can be wrong with the meter itself.
enum class MeterFault : std::uint8_t {
    no_current,  // its fuse is blown: currents read nothing
    no_voltage,  // a lead is in the socket for currents, or broken: nothing is read but currents
};

struct Fault {
    // What is told, and what counts as one: "R3 has the wrong value", "R3 is open". Faults that are
    // cells of one range share it. Empty: no fault.
    std::string suspect;
    double weight = 1;  // how likely against others, before anything is measured (own choice)
    std::function<void(Link&)> edit = {};  // none where only the sides are bridged
    std::optional<SideBridge> bridge = {};
    std::optional<ByItself> by_itself = {};
    std::optional<SideNode> floating = {};  // what an open joint leaves to leakage and pick-up
    std::optional<SideNode> shows_at = {};  // of a driver: read there before it is blamed
    std::optional<MeterFault> meter = {};
    // A joint that is open at some readings and whole at others. Stands in a table right behind the
    // same joint open, whose readings it has at times.
    bool loose = false;
    bool only_powered = false;  // what is taken off with the power: without it all is well
    std::optional<FaultFigure> figure = {};
    std::vector<std::size_t> parts = {};  // that it is about, of the link

    bool is_none() const { return suspect.empty(); }
};

// No fault, then each single fault that a link's parts, supplies and gaps can have. Requires a
// prepared link (prepared_for_faults).
std::vector<Fault> fault_table(const Link& link);

// Both at once. Requires that neither is none.
Fault both(const Fault& a, const Fault& b);

// The link with model doubt, a diode in the body of each MOSFET (behind the link's own parts), and
// with every coupler's transfer ratio resolved into a photocurrent
// ratio, so that faulty copies of it need not find that again.
Link prepared_for_faults(const Link& link, const LinkCircuit& circuit);
// The same without the doubt.
Link with_photocurrent_ratios(Link link, const LinkCircuit& circuit);

}  // namespace gapwright
