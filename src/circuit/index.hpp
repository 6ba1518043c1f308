// Strong indices: the mix-ups that these types forbid have bitten before.
#pragma once

#include <cstddef>
#include <cstdint>

namespace gapwright {

// A node of one side's network. Node 0 is that side's return, the point all voltages refer to.
enum class Node : std::uint32_t { side_return = 0 };

// Where a specimen keeps one figure: `specimen.values[to_index(slot)]`.
enum class Slot : std::uint32_t {};

// A gap of the link, in the order in which the input side's emitters were added.
enum class GapIndex : std::uint32_t {};

// An element of one side's network; the same in every state.
enum class ElementIndex : std::uint32_t {};

// A state of the link, in the order of the link file.
enum class StateIndex : std::uint32_t {};

enum class Side : std::uint8_t { input, output };

template <class Index>
constexpr std::size_t to_index(Index index) {
    return static_cast<std::size_t>(index);
}

}  // namespace gapwright
