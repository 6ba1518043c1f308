// Wirings that ask for something each.
#pragma once

#include <string>

#include "board/made_wirings.hpp"

namespace gapwright::testing_support {

inline Wiring two_resistors() {
    WiringMaker made;
    const auto plus = made.node(Side::input, "supply", Rail::supply);
    const auto middle = made.node(Side::input, "middle");
    const auto minus = made.node(Side::input, "return", Rail::returns);
    made.resistor("R1", Side::input, plus, middle);
    made.resistor("R2", Side::input, middle, minus);
    return made.wiring();
}

// A six-pin coupler with two unused pins, a transistor, a capacitor, a node with a single pin.
inline Wiring coupler_and_transistor() {
    WiringMaker made;
    const auto in_minus = made.node(Side::input, "return", Rail::returns);
    const auto anode = made.node(Side::input, "anode");
    const auto out_plus = made.node(Side::output, "supply", Rail::supply);
    const auto out_minus = made.node(Side::output, "return", Rail::returns);
    const auto base = made.node(Side::output, "base");
    const auto coil = made.node(Side::output, "coil");
    made.leads("input", Side::input, {anode, in_minus});
    made.coupler("U1", {anode, in_minus, {}, base, out_plus, {}});
    made.transistor("Q1", Side::output, out_minus, base, coil);
    made.transistor("Q2", Side::output, {}, {}, out_plus);
    made.capacitor("C1", Side::output, out_plus, out_minus);
    made.leads("output supply", Side::output, {out_plus, out_minus});
    return made.wiring();
}

inline Wiring two_couplers() {
    WiringMaker made;
    const auto in_minus = made.node(Side::input, "return", Rail::returns);
    const auto first = made.node(Side::input, "first");
    const auto second = made.node(Side::input, "second");
    const auto out_minus = made.node(Side::output, "return", Rail::returns);
    const auto one = made.node(Side::output, "one");
    const auto other = made.node(Side::output, "other");
    made.coupler("U1", {first, in_minus, out_minus, one});
    made.coupler("U2", {second, in_minus, out_minus, other});
    made.leads("input", Side::input, {first, second, in_minus});
    made.leads("output", Side::output, {one, other, out_minus});
    return made.wiring();
}

// Parts on both sides that nothing couples: light crosses from a lamp on leads.
inline Wiring no_coupler() {
    WiringMaker made;
    const auto plus = made.node(Side::input, "supply", Rail::supply);
    const auto lamp = made.node(Side::input, "lamp");
    const auto out_plus = made.node(Side::output, "supply", Rail::supply);
    const auto signal = made.node(Side::output, "signal");
    made.resistor("R1", Side::input, plus, lamp);
    made.leads("lamp", Side::input, {plus, lamp});
    made.resistor("R2", Side::output, out_plus, signal);
    made.leads("receiver", Side::output, {signal, out_plus});
    return made.wiring();
}

inline Wiring chain_of_resistors() {
    WiringMaker made;
    auto last = made.node(Side::output, "0");
    for (int k = 1; k <= 20; ++k) {
        const auto next = made.node(Side::output, std::to_string(k));
        made.resistor("R" + std::to_string(k), Side::output, last, next);
        last = next;
    }
    return made.wiring();
}

inline Wiring twelve_leads() {
    WiringMaker made;
    const auto node = made.node(Side::input, "common");
    for (int k = 1; k <= 12; ++k) made.leads("W" + std::to_string(k), Side::input, {node});
    return made.wiring();
}

// Parallel parts: all pins on two nodes, more of them than a row has holes.
inline Wiring parallel_parts() {
    WiringMaker made;
    const auto a = made.node(Side::output, "a");
    const auto b = made.node(Side::output, "b");
    for (int k = 1; k <= 4; ++k) made.resistor("R" + std::to_string(k), Side::output, a, b);
    for (int k = 1; k <= 4; ++k) made.capacitor("C" + std::to_string(k), Side::output, a, b);
    return made.wiring();
}

// Resistors that share nothing: two rows each.
inline Wiring crowd(int resistors) {
    WiringMaker made;
    for (int k = 0; k < resistors; ++k) {
        const auto a = made.node(Side::input, "a" + std::to_string(k));
        const auto b = made.node(Side::input, "b" + std::to_string(k));
        made.resistor("R" + std::to_string(k), Side::input, a, b);
    }
    return made.wiring();
}

// More leads on the return rail than there are rows clear of what reaches over it to the supply's.
inline Wiring many_returns() {
    WiringMaker made;
    const auto plus = made.node(Side::input, "supply", Rail::supply);
    const auto minus = made.node(Side::input, "return", Rail::returns);
    const auto a = made.node(Side::input, "a");
    const auto b = made.node(Side::input, "b");
    made.resistor("R1", Side::input, plus, a);
    made.resistor("R2", Side::input, plus, b);
    made.leads("outputs", Side::input, {a, b, plus});
    for (int k = 1; k <= 19; ++k) made.leads("W" + std::to_string(k), Side::input, {minus});
    return made.wiring();
}

struct Named {
    const char* name;
    Wiring (*make)();
};
inline const Named wirings[] = {{"least link", least_link},
                                {"two resistors", two_resistors},
                                {"coupler and transistor", coupler_and_transistor},
                                {"two couplers", two_couplers},
                                {"no coupler", no_coupler},
                                {"chain of resistors", chain_of_resistors},
                                {"twelve leads", twelve_leads},
                                {"parallel parts", parallel_parts},
                                {"many returns", many_returns}};

}  // namespace gapwright::testing_support
