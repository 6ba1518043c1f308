#include "proof/timed/analogue_study.hpp"
#include <expected>
#include <optional>
#include <stop_token>

#include "population/specimen.hpp"
#include "proof/prove.hpp"
#include "time/analogue.hpp"
#include "units/quantity.hpp"

namespace gapwright {

std::expected<AnalogueAnswer, ProofFailure> analogue_study(const Link& link,
                                                           const LinkCircuit& circuit,
                                                           std::optional<double> temperature,
                                                           const std::stop_token& stop) {
    ConditionRanges ranges = condition_ranges(link);
    if (temperature) ranges.temperature = exactly(*temperature);
    auto answer = analogue_answer(circuit.circuit, nominal_specimen(circuit, ranges),
                                  analogue_question(link, circuit), stop);
    if (!answer) {
        return std::unexpected(
            ProofFailure{"the analogue signal: " + answer.error(), stop.stop_requested()});
    }
    return *answer;
}

}  // namespace gapwright
