#include "design/values/timed_scores.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
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
namespace {

const double cell_width = std::log(1.2);  // of the logarithm of a resistance
constexpr double probe_width = 0.5;       // of a cell: how far off slopes are taken
constexpr double coarse = 1e-5;           // tolerance of waveforms
constexpr double least_delay = 1e-12;     // s

double middle_of(int cell) {
    return std::exp((cell + 0.5) * cell_width);
}

// Delays go by powers of a resistance; what may be negative goes straight.
bool by_logarithm(const TimedMeasure& measure) {
    return measure.reading == TimedMeasure::Reading::reach;
}

double inward(const TimedMeasure& measure, double value) {
    return by_logarithm(measure) ? std::log(std::max(value, least_delay)) : value;
}
double outward(const TimedMeasure& measure, double value) {
    return by_logarithm(measure) ? std::exp(value) : value;
}

}  // namespace

TimedScores::TimedScores(std::shared_ptr<const LinkCircuit> circuit,
                         std::vector<TimedMeasure> measures, std::vector<Slot> slots)
    : circuit_(std::move(circuit)), measures_(std::move(measures)), slots_(std::move(slots)) {}

std::size_t TimedScores::number_of(const Specimen& specimen) {
    const auto same = [&](const Specimen& other) {
        return other.conditions == specimen.conditions && other.values == specimen.values;
    };
    const auto found = std::ranges::find_if(known_, same);
    if (found != known_.end()) return static_cast<std::size_t>(found - known_.begin());
    known_.push_back(specimen);
    return known_.size() - 1;
}

TimedScores::Cell TimedScores::work_out(const Specimen& specimen, const std::vector<int>& where,
                                        const EngineOptions& options) const {
    const std::size_t resistors = slots_.size();
    const Measurer measurer = timed_measurer(circuit_->circuit, measures_, {.tolerance = coarse});
    const SpecimenSource source{.base = specimen,
                                .count = resistors + 1,
                                .write = [&](std::size_t k, SpecimenPlace& place) {
                                    for (std::size_t r = 0; r < resistors; ++r) {
                                        const double off =
                                            k == r + 1 ? std::exp(probe_width * cell_width) : 1;
                                        place.set(slots_[r], middle_of(where[r]) * off);
                                    }
                                    place.set(specimen.conditions);
                                }};
    EngineOptions engine;
    engine.threads = options.threads;
    const auto found = measurer.run(source, engine);
    Cell cell;
    for (std::size_t m = 0; m < measures_.size(); ++m) {
        const auto value = [&](std::size_t k) {
            const double v = found.at(k, m);
            return inward(measures_[m], std::isnan(v) ? never : v);
        };
        cell.middle.push_back(value(0));
        for (std::size_t r = 0; r < resistors; ++r) {
            if (m == 0) cell.slopes.emplace_back();
            cell.slopes[r].push_back((value(r + 1) - value(0)) / (probe_width * cell_width));
        }
    }
    return cell;
}

std::optional<std::vector<double>> TimedScores::at(const Specimen& specimen,
                                                   std::span<const double> ohms,
                                                   const EngineOptions& options, int& new_cells) {
    std::vector<int> where;
    for (const double r : ohms) {
        where.push_back(static_cast<int>(std::floor(std::log(r) / cell_width)));
    }
    Specimen bare = specimen;
    for (const Slot slot : slots_) bare.set(slot, 0);
    std::unique_lock lock(mutex_);
    const Key key{number_of(bare), where};
    auto cell = cells_.find(key);
    if (cell == cells_.end()) {
        if (new_cells <= 0) return std::nullopt;
        --new_cells;
        lock.unlock();
        Cell made = work_out(specimen, where, options);
        lock.lock();
        cell = cells_.try_emplace(key, std::move(made)).first;
    }
    std::vector<double> values;
    for (std::size_t m = 0; m < measures_.size(); ++m) {
        double value = cell->second.middle[m];
        for (std::size_t r = 0; r < ohms.size(); ++r) {
            value += cell->second.slopes[r][m] * std::log(ohms[r] / middle_of(where[r]));
        }
        values.push_back(outward(measures_[m], value));
    }
    return values;
}

}  // namespace gapwright
