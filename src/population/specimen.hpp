// One specimen of a link, and how specimens are drawn.
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "lanes/plan.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "units/quantity.hpp"

namespace gapwright {

// The figures of one link that somebody might build, and what surrounds it.
struct Specimen {
    std::vector<double> values;  // by slot
    Conditions conditions;

    void set(Slot slot, double value) { values[to_index(slot)] = value; }
    void set(const Conditions& around) { conditions = around; }
};

// Where one specimen is written, one number a lane.
class SpecimenPlace {
  public:
    // `rows` as LaneTask::specimens has them, at this specimen's lane.
    SpecimenPlace(double* rows, std::size_t width, std::size_t slots)
        : rows_(rows), width_(width), slots_(slots) {}

    void set(Slot slot, double value) { rows_[to_index(slot) * width_] = value; }
    void set(const Conditions& conditions) {
        rows_[slots_ * width_] = conditions.temperature;
        rows_[(slots_ + 1) * width_] = conditions.light;
        rows_[(slots_ + 2) * width_] = conditions.age;
    }
    Specimen get() const;

  private:
    double* rows_;
    std::size_t width_;
    std::size_t slots_;
};

// The specimens of a run: each is `base` but for what `write` changes. `write` is called from
// several threads at once, and must set the same figures for every specimen.
struct SpecimenSource {
    Specimen base;
    std::size_t count = 0;
    std::function<void(std::size_t specimen, SpecimenPlace& place)> write;
};

// The ranges that conditions run through: lowest and highest of each.
struct ConditionRanges {
    Spread temperature = exactly(298.15);  // K
    Spread light = exactly(0);             // lx
    Spread age = exactly(0);               // s
};

// Temperature and light as the link states them; age from nothing to the service life.
ConditionRanges condition_ranges(const Link& link);

// New parts at the middle of the temperature and light ranges, every figure nominal.
Specimen nominal_specimen(const LinkCircuit& circuit, const ConditionRanges& ranges);

// Specimen number `index` of the population with this seed. Figures are independent, uniform
// between their limits, or normal (limits at ±3σ, truncated, each side of the nominal with its own
// σ) where a card says so, or alike in the logarithm
// where an assumed range reaches over decades; temperature, light and age uniform in their
// ranges. The same arguments give the same specimen on any thread of any machine.
Specimen draw_specimen(const LinkCircuit& circuit, const ConditionRanges& ranges,
                       std::uint64_t seed, std::uint64_t index);

// What varies in that population, by its row among a specimen's numbers.
std::vector<FigureRange> figure_ranges(const LinkCircuit& circuit, const ConditionRanges& ranges);

// Specimens 0 … count − 1 of that population, as the engine takes them. Refers to nothing.
SpecimenSource population_source(const LinkCircuit& circuit, const ConditionRanges& ranges,
                                 std::uint64_t seed, std::size_t count);

// Lower end of the two-sided 95 % Wilson interval for a share of `kept` in `samples`
// (Wilson 1927); 0 for no samples.
double wilson_low95(std::size_t kept, std::size_t samples);

}  // namespace gapwright
