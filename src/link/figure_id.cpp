#include "link/figure_id.hpp"

#include <fmt/format.h>

#include <string>
#include <vector>

#include "card/key.hpp"
#include "circuit/index.hpp"

namespace gapwright {
namespace {

std::string owner_text(const std::vector<std::string>& part_names, const FigureId& figure) {
    switch (figure.of) {
        case FigureId::Of::part:
            return part_names[figure.part];
        case FigureId::Of::emitter:
            return part_names[figure.part] + ".emitter";
        case FigureId::Of::receiver:
            return part_names[figure.part] + ".receiver";
        case FigureId::Of::input_supply:
            return "input.supply";
        case FigureId::Of::output_supply:
            return "output.supply";
        case FigureId::Of::nobody:
            break;
    }
    return {};
}

}  // namespace

FigureId supply_figure(Side side, Key key) {
    const bool input = side == Side::input;
    return {.of = input ? FigureId::Of::input_supply : FigureId::Of::output_supply, .key = key};
}

std::string figure_text(const std::vector<std::string>& part_names, const FigureId& figure) {
    if (figure.of == FigureId::Of::nobody) return {};
    return fmt::format("{}.{}{}", owner_text(part_names, figure), figure.key,
                       figure.condition ? ".at" : "");
}

}  // namespace gapwright
