// What promises in time measure while resistors are being chosen.
//
// A waveform takes milliseconds, and a search looks at thousands of sets. So values are worked out
// in the middle of cells, a fifth wide in each resistance, and carried from there along their
// slopes (of the logarithm of a delay to the logarithm of a resistance): near enough to tell sets
// apart. What the search settles on is worked out exactly, in its worst case.
#pragma once

#include <cstddef>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "circuit/index.hpp"
#include "link/link_circuit.hpp"
#include "population/engine.hpp"
#include "population/specimen.hpp"
#include "time/timed_measure.hpp"

namespace gapwright {

class TimedScores {
  public:
    // `slots`: where a specimen keeps the resistances to be chosen.
    TimedScores(std::shared_ptr<const LinkCircuit> circuit, std::vector<TimedMeasure> measures,
                std::vector<Slot> slots);

    const std::vector<TimedMeasure>& measures() const { return measures_; }

    // By measure, at these resistances, Ω, in a specimen whose own chosen resistances do not count.
    // Nothing where that takes a new cell and `new_cells`, counted down, is used up.
    std::optional<std::vector<double>> at(const Specimen& specimen, std::span<const double> ohms,
                                          const EngineOptions& options, int& new_cells);

  private:
    struct Cell {
        std::vector<double> middle;               // by measure
        std::vector<std::vector<double>> slopes;  // by resistor, measure
    };
    using Key = std::pair<std::size_t, std::vector<int>>;  // specimen, cell

    Cell work_out(const Specimen& specimen, const std::vector<int>& where,
                  const EngineOptions& options) const;
    std::size_t number_of(const Specimen& specimen);

    std::shared_ptr<const LinkCircuit> circuit_;
    std::vector<TimedMeasure> measures_;
    std::vector<Slot> slots_;
    std::mutex mutex_;
    std::vector<Specimen> known_;
    std::map<Key, Cell> cells_;
};

}  // namespace gapwright
