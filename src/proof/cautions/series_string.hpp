// Parts in series on one side of a link, and what of the source each of them takes. Internal to the
// layer.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "circuit/index.hpp"
#include "circuit/link_point.hpp"
#include "link/link.hpp"
#include "link/link_circuit.hpp"
#include "proof/worked_steps.hpp"

namespace gapwright {

// Between two nodes, in the direction of their path.
struct SeriesString {
    Side side;
    std::vector<std::size_t> parts;  // by index, in order
    Node from;
    Node to;
};

// The strings of a side: each path, cut at every node that a third part touches.
std::vector<SeriesString> strings_of(const Link& link, Side side);

// A string at the nominal point, in the state in which it carries most.
struct SolvedString {
    const Link& link;
    const LinkCircuit& circuit;
    SeriesString string;
    std::vector<std::size_t> resistors;  // those that are worked out; the other parts are drops
    std::size_t state;
    const StatePoint& point;
    double current;  // A
};

SolvedString solved_string(const Link& link, const LinkCircuit& circuit,
                           const std::vector<StatePoint>& nominal, const SeriesString& string,
                           const std::vector<std::size_t>& resistors);

// V: what drives the string, a logic output's level or the voltage of its first node.
double source_of(const SolvedString& s);

// The current at which the light source's figures are stated: what a person would aim at.
struct Wanted {
    double current;
    std::string why;
};

std::optional<Wanted> wanted_current(const SolvedString& s);

// What the parts that are not worked out take, and the node that the string ends at; what is less
// than a share of the source is left out. At the solved point, or where the string carries another
// current.
std::vector<Drop> solved_drops(const SolvedString& s, double least_share);
std::vector<Drop> drops_at(const SolvedString& s, double current, double least_share);

}  // namespace gapwright
