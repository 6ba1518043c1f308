#include "report/pictures/bench_pictures.hpp"

#include <algorithm>
#include <cstddef>
#include <optional>
#include <utility>

#include "bench/meter/measurement.hpp"
#include "circuit/index.hpp"
#include "draw/schematic.hpp"
#include "draw/symbols.hpp"
#include "link/link.hpp"
#include "report/pictures/schematic_view.hpp"

namespace gapwright {
namespace {

LeadSpot spot_at(const Link& link, Side side, Node node) {
    const LinkSide& of = link.side(side);
    LeadSpot spot{.on_output = side == Side::output};
    const std::size_t index = to_index(node);
    const bool rail = node == Node::side_return || node == supply_node;
    if (rail || of.node_is_named[index]) {
        spot.node = of.node_names[index];
        return spot;
    }
    // A joint without a name: right after the part that leads to it.
    const auto leads_here = [&](const Part& part) {
        const auto& placement = part.on(side);
        return placement && placement->to == node;
    };
    const auto part = std::ranges::find_if(link.parts, leads_here);
    if (part != link.parts.end()) spot.after = part->name;
    return spot;
}

// All nodes of a side clipped together: drawn where the light is, so that both leads can be seen.
LeadSpot spot_at_gap(const Link& link, Side side, Node node) {
    const auto gap = std::ranges::find_if(link.parts, &Part::is_gap);
    if (gap == link.parts.end()) return spot_at(link, side, node);
    return {.on_output = side == Side::output, .after = gap->name, .all_nodes = true};
}

// With the power off contacts stand open, and what drives a pin is taken off.
void take_off(SchematicSide& side) {
    for (auto& strand : side.strands) {
        for (auto& part : strand.parts) {
            if (part.press.empty()) continue;
            part.press.clear();
            part.closed = false;
            part.notes.back() = part.symbol == Symbol::contact ? "open" : "taken off";
        }
    }
}

}  // namespace

SchematicInput meter_view(const Link& link, const Measurement& measurement) {
    const Measurement& m = measurement;
    SchematicInput drawn = schematic_view(link, link.find_state(m.state).value_or(0));
    if (m.state == unpowered) {
        take_off(drawn.input);
        take_off(drawn.output);
    }
    SchematicMeter meter{.on_output = m.side == Side::output};
    if (m.kind == MeasurementKind::current) {
        meter.in_lead = true;
        if (m.part) meter.part = link.parts[*m.part].name;
    } else if (crosses_gap(m)) {
        meter.red = (m.all_input ? spot_at_gap : spot_at)(link, Side::input, m.plus);
        meter.black = (m.all_output ? spot_at_gap : spot_at)(link, Side::output, m.minus);
        if (m.reversed) std::swap(meter.red, meter.black);
    } else {
        meter.red = spot_at(link, m.side, m.plus);
        meter.black = spot_at(link, m.side, m.minus);
    }
    drawn.meter = meter;
    return drawn;
}

}  // namespace gapwright
