// How measured quantities of a solved link move with the figures of its specimen: derivatives, by
// the adjoint method (one linear solve with the transposed Jacobian for each quantity, whatever the
// number of figures; see e.g. Director & Rohrer 1969 for networks).
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"

namespace gapwright {

// A number that a specimen consists of: first its figures by slot, then three conditions.
struct FigureIndex {
    std::size_t slots = 0;
    std::size_t of(Slot slot) const { return to_index(slot); }
    std::size_t temperature() const { return slots; }
    std::size_t light() const { return slots + 1; }
    std::size_t age() const { return slots + 2; }
};

// d(measure)/d(figure): by measure, then by position in `figures`, in the measure's unit per unit
// of the figure (V, A or W per Ω, K, lx, s …). `points` are the specimen's solved states. Light
// counts: a figure of the input side reaches the output through the gaps, and through the fading of
// emitters, to which each state's current adds (`circuit.shares`). Where a law has a corner (an
// emitter's current passing zero, where shares are not known the largest of two states' currents
// being equal) the derivative is that of one side.
std::vector<std::vector<double>> sensitivities(const Circuit& circuit,
                                               std::span<const double> values,
                                               const Conditions& conditions,
                                               const std::vector<StatePoint>& points,
                                               const std::vector<Measure>& measures,
                                               std::span<const std::size_t> figures);

}  // namespace gapwright
