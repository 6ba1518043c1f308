// How a board becomes a network: every lead that is not soldered soundly, lifted or opened has a
// node of its own.
#pragma once

#include <cstddef>
#include <map>
#include <utility>
#include <vector>

#include "reference/second_bench/wiring.hpp"

namespace gapwright::reference {

class WiringMaker {
  public:
    WiringMaker(const Board& board, const Wiring& wiring) : board_(board), wiring_(wiring) {}

    Wired made();

  private:
    void clip(Side side);
    // The node at a terminal of the part; the second finds it, the first makes it once.
    std::size_t made_terminal(std::size_t part, std::size_t index);
    std::size_t terminal(std::size_t part, std::size_t index);
    Setting setting_of(const BuiltPart& part) const;
    void add(std::size_t part);
    void add_source(std::size_t part);
    void add_logic_input(std::size_t part);
    void add_contact(std::size_t part);
    void add_junction(std::size_t part);
    void add_transistor(std::size_t part);
    void add_mosfet(std::size_t part);
    void add_light(const Beam& beam);

    const Board& board_;
    const Wiring& wiring_;
    Wired result_;
    std::map<std::size_t, std::pair<std::size_t, std::size_t>> base_of_;  // inner collector, base
    std::map<std::pair<std::size_t, std::size_t>, std::size_t> terminals_;
};

}  // namespace gapwright::reference
