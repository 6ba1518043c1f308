// What a proof tells the worst value of, as aims of the search from outside.
#pragma once

#include <string>
#include <vector>

#include "link/link_circuit.hpp"
#include "proof/proof.hpp"
#include "reference/outside_search.hpp"

namespace gapwright::reference {

struct Told {
    std::string name;  // "on voltage signal at most", "on M1 power"
    Aim aim;
    double badness = 0;  // of the worst value told, as Aim::badness
    double bound = 0;
};

// Every bound of a promise at rest, and every limit in a state. Throws where a limit told of is not
// among those that the link has.
std::vector<Told> told_by(const Link& link, const LinkCircuit& circuit, const Proof& proof);

}  // namespace gapwright::reference
