// The nominal link followed in time. Internal to the layer.
#pragma once

#include <expected>
#include <string>
#include <string_view>
#include <vector>

#include "link/link.hpp"
#include "proof/proof_task.hpp"
#include "proof/prove.hpp"
#include "time/timed_measure.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {

struct NominalInTime {
    struct Item {
        double value;         // NaN where there is a failure
        std::string failure;  // empty where there is none
    };
    std::vector<Item> items;  // by measure
    Strays strays = Strays::none;
};

// The nominal specimen's values. A schedule that cannot be followed takes no other along; fails
// only where the user stops it.
std::expected<NominalInTime, ProofFailure> nominal_in_time(
    const ProofTask& task, const std::vector<TimedMeasure>& measures);

// The failure of the specimen that `which` says; `link` names nodes.
ProofFailure wave_failure(const Link& link, const WaveFailure& error, std::string_view which);

}  // namespace gapwright
