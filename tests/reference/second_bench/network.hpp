// A network of both sides at rest: metal, what lies between, and the voltages that balance it.
//
// Written for the second bench alone, where anything may be joined to anything: nodes are plain
// numbers over both sides, node 0 is the input side's return. Light is part of the network, so that
// a bridge between the sides may feed what is lit back to what lights it.
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <variant>
#include <vector>

#include "reference/second_laws.hpp"

namespace gapwright::reference {

// i = (v_a − v_b)·siemens + amperes, from a to b.
struct PlainPath {
    std::size_t a = 0, b = 0;
    double siemens = 0;
    double amperes = 0;
};

// A source of `volts` between plus and minus behind `ohms`, giving or taking no more than `limit`.
struct LimitedSource {
    std::size_t plus = 0, minus = 0;
    double volts = 0;
    double ohms = 0;
    double limit = 1;  // A
};

// The meter's junction test: a current from plus to minus, `amperes` at nothing and none at
// `open_volts`. In between it falls as 1 − (v/open)^bend: of bend 1 it is a resistor's, of a high
// one nearly the same up to near that voltage.
struct TestCurrent {
    std::size_t plus = 0, minus = 0;
    double amperes = 0;
    double open_volts = 0;
    double bend = 6;
};

// A junction with its resistance in series, and what it does backwards beyond `breakdown`.
struct JunctionPath {
    std::size_t anode = 0, cathode = 0;
    SecondJunction law;
    double breakdown = 0;             // V, at breakdown_current; zero: none
    double breakdown_current = 1e-5;  // A
    double breakdown_ohms = 20;
};

// A transistor as an npn; of a pnp the mirror. The collector's resistance is a path of its own.
struct TransistorPath {
    std::size_t collector = 0, base = 0, emitter = 0;
    SecondTransistor law;
    bool mirrored = false;
};

struct MosfetPath {
    std::size_t drain = 0, gate = 0, source = 0;
    SecondMosfet law;
    bool mirrored = false;
};

// What a junction's current throws on something: a photocurrent, or a conductance.
struct LightPath {
    std::size_t from = 0, to = 0;
    std::size_t emitter = 0;  // which path of the network, a JunctionPath
    bool conducts = false;    // what is thrown is in siemens, else in amperes
    std::size_t thrown = 0;   // which law of Network::thrown
};

using NetworkPath = std::variant<PlainPath, LimitedSource, TestCurrent, JunctionPath,
                                 TransistorPath, MosfetPath, LightPath>;

struct Network {
    std::size_t nodes = 0;
    std::vector<NetworkPath> paths;
    std::vector<std::function<double(double)>> thrown;  // of an emitter's current in A

    std::size_t add_node() { return nodes++; }
    std::size_t add(NetworkPath path) {
        paths.push_back(std::move(path));
        return paths.size() - 1;
    }
    std::size_t join(std::size_t a, std::size_t b, double ohms) {
        return add(PlainPath{a, b, 1 / ohms, 0});
    }
};

// Every node's voltage against node 0; empty where no balance was found. What is returned balances
// to 10 pA and a millionth of the largest current.
std::optional<std::vector<double>> balance(const Network& network);

// What flows along a two-ended path, from its first end to its second.
double current_along(const Network& network, std::size_t path, const std::vector<double>& volts);

}  // namespace gapwright::reference
