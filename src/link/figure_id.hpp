// Which figure of a link: an identity that is the same in every circuit made of the link, whatever
// slot keeps the figure there. Its text is for people and files only.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "card/key.hpp"
#include "circuit/index.hpp"

namespace gapwright {

struct FigureId {
    // Whose figure. An open pair's own are those of its distance and beam; those of its halves are
    // its emitter's and receiver's. Nobody's are figures that a circuit adds for itself.
    enum class Of : std::uint8_t { part, emitter, receiver, input_supply, output_supply, nobody };

    Of of = Of::nobody;
    std::size_t part = 0;  // index in Link::parts; zero where `of` is no part
    Key key = {};
    bool condition = false;  // of "X at Y": Y

    // Whether it belongs to that part or a half of it.
    bool is_of_part(std::size_t index) const {
        return (of == Of::part || of == Of::emitter || of == Of::receiver) && part == index;
    }

    bool operator==(const FigureId&) const = default;
};

// A figure of a part as a whole.
inline FigureId figure_of(std::size_t part, Key key) {
    return {.of = FigureId::Of::part, .part = part, .key = key};
}

// A figure of a side's supply.
FigureId supply_figure(Side side, Key key);

// As answers and reports name it: "R1.value", "U1.emitter.forward", "U1.forward.at",
// "input.supply.voltage"; empty for nobody's. Parts are named by their indices.
std::string figure_text(const std::vector<std::string>& part_names, const FigureId& figure);

}  // namespace gapwright
