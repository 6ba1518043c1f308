// A link that carries a signal without steps: how much of it arrives, up to which frequency, how
// bent, and at which bias least so.
#pragma once

#include <expected>
#include <optional>
#include <stop_token>
#include <string>

#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/probe.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"
#include "time/harmonics.hpp"

namespace gapwright {

struct AnalogueQuestion {
    StateIndex state{};    // the bias
    ElementIndex drive{};  // a branch of the input side
    Slot level{};          // the slot of its voltage in that state
    double swing = 0;      // V, peak, above zero
    Probe output;          // a voltage
};

// What [analogue] asks. Requires that the link states one.
AnalogueQuestion analogue_question(const Link& link, const LinkCircuit& circuit);

// Harmonics are those at low frequency: the transfer at rest, sampled 64 times in a period of a
// sine of that swing about the bias.
struct AnalogueBias {
    double drive = 0;  // V
    double gain = 0;   // V/V, at rest, for the smallest of signals
    Harmonics harmonics;
};

struct AnalogueAnswer {
    AnalogueBias present;
    std::optional<double> bandwidth;  // Hz, −3 dB; see SmallSignal::bandwidth
    // Of drives from a quarter of the present one to twice it that stay positive over the whole
    // swing and leave at least half of the present fundamental, the one with the least total: the
    // best of 36, then golden section between its neighbours. The present one where that gains
    // less than a hundredth of the total; none where no drive qualifies.
    std::optional<AnalogueBias> most_linear;
};

// Below it nothing is said to arrive: V/V.
inline constexpr double least_gain = 1e-9;

// Fails, in words, where the link does not settle, or its output does not follow the drive.
std::expected<AnalogueAnswer, std::string> analogue_answer(const Circuit& circuit,
                                                           const Specimen& specimen,
                                                           const AnalogueQuestion& question,
                                                           const std::stop_token& stop = {});

}  // namespace gapwright
