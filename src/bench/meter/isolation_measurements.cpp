#include <fmt/format.h>

#include <cstddef>
#include <string>

#include "bench/meter/measurement.hpp"
#include "bench/meter/measurement_groups.hpp"
#include "circuit/index.hpp"
#include "link/link.hpp"

namespace gapwright::measuring {
namespace {

Measurement across_the_gap(MeasurementKind kind, const std::string& measure, Node input,
                           Node output) {
    return measured(kind, measure, unpowered, Side::input, input, output, unpowered_cost);
}

}  // namespace

Measurements isolations(const Link& link) {
    Measurements found;
    const auto whole = [&](MeasurementKind kind, const std::string& measure) -> Measurement& {
        found.push_back(across_the_gap(kind, measure, Node::side_return, Node::side_return));
        found.back().all_input = true;
        found.back().all_output = true;
        return found.back();
    };
    whole(MeasurementKind::isolation, "isolation");
    whole(MeasurementKind::isolation, "isolation reversed").reversed = true;
    if (link.meter.insulation_voltage) whole(MeasurementKind::insulation, "insulation");
    for (const Side side : {Side::input, Side::output}) {
        const bool input = side == Side::input;
        for (std::size_t n = 0; n < link.side(side).node_names.size(); ++n) {
            const auto node = static_cast<Node>(n);
            if (node == supply_node && !link.side(side).supply) continue;
            const std::string word = node_word(link, side, node);
            const std::string whose = input ? "all of the output" : "all of the input";
            found.push_back(across_the_gap(
                MeasurementKind::isolation, fmt::format("isolation {} to {}", word, whose),
                input ? node : Node::side_return, input ? Node::side_return : node));
            (input ? found.back().all_output : found.back().all_input) = true;
            found.back().cost = clipped_cost;
        }
    }
    return found;
}

}  // namespace gapwright::measuring
