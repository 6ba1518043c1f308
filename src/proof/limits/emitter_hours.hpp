// How long each emitter of a link carries which current over the service life, and what is then
// left of its light.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "circuit/link_point.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "population/specimen.hpp"

namespace gapwright {

inline constexpr double dark_emitter = 1e-6;  // A: less lights nothing

// An emitter in one state of its link.
struct EmitterInState {
    std::string state;
    std::optional<double> share;  // of the service life, 0 … 1; none: not known
    std::optional<double> time;   // s in all; none: not known
    double current = 0;           // A, nominal
    bool dark = false;  // below dark_emitter, or a thousandth of the most of any state (own choice)
};

struct EmitterHours {
    std::string part;  // the gap's name, "U1"
    std::vector<EmitterInState> states;
    double without_supply = 0;  // share of the service life that no state takes up
    // Shares of its light at the end of the service life, all figures nominal, at the middle of the
    // temperature range and at its hot end, where it fades most. None: its card states no life.
    std::optional<double> light_left;
    std::optional<double> light_left_hot;
    double temperature = 0;  // K, the middle
    double hottest = 0;      // K
};

// By gap; nothing where no service life is stated. `ranges`: of temperature and age; `nominal`: the
// link's nominal point, by state.
std::vector<EmitterHours> emitter_hours(const Link& link, const LinkCircuit& circuit,
                                        const ConditionRanges& ranges,
                                        const std::vector<StatePoint>& nominal);

}  // namespace gapwright
