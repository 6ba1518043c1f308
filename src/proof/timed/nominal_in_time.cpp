#include "proof/timed/nominal_in_time.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <expected>
#include <limits>
#include <string>
#include <string_view>
#include <vector>

#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "proof/proof_task.hpp"
#include "proof/prove.hpp"
#include "time/timed_measure.hpp"
#include "units/dimension.hpp"
#include "units/engineering.hpp"
#include "waveform/waveform.hpp"

namespace gapwright {

ProofFailure wave_failure(const Link& link, const WaveFailure& error, std::string_view which) {
    if (error.stopped) return {"stopped before the waveforms were complete", true};
    const auto& node = error.node;
    const std::string where =
        node ? fmt::format(" at the {} side's node {}", side_name(node->first),
                           node_description(link.side(node->first), node->second))
             : "";
    return {fmt::format("no waveform was found for {}: {}{}, {} after the change", which,
                        error.message, where, engineering_short(error.at, Dimension::time))};
}

std::expected<NominalInTime, ProofFailure> nominal_in_time(
    const ProofTask& task, const std::vector<TimedMeasure>& measures) {
    const NominalInTime::Item unknown{std::numeric_limits<double>::quiet_NaN(), {}};
    WaveOptions wave;
    wave.stop = task.options.engine.stop;
    const Specimen specimen = nominal_specimen(task.circuit, task.ranges);
    NominalInTime result{.items = std::vector(measures.size(), unknown)};
    std::vector<bool> done(measures.size(), false);
    for (std::size_t first = 0; first < measures.size(); ++first) {
        if (done[first]) continue;
        std::vector<TimedMeasure> together;
        std::vector<std::size_t> whose;
        for (std::size_t k = first; k < measures.size(); ++k) {
            if (measures[k].schedule != measures[first].schedule) continue;
            done[k] = true;
            together.push_back(measures[k]);
            whose.push_back(k);
        }
        const auto found = timed_values(task.circuit.circuit, specimen, together, wave);
        if (!found) {
            const auto failure = wave_failure(task.link, found.error(), "the nominal link");
            if (failure.stopped) return std::unexpected(failure);
            for (const std::size_t k : whose) result.items[k].failure = failure.message;
            continue;
        }
        result.strays = std::max(result.strays, found->strays);
        for (std::size_t m = 0; m < whose.size(); ++m) {
            result.items[whose[m]].value = found->values[m];
        }
    }
    return result;
}

}  // namespace gapwright
