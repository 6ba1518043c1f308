// Wirings made by hand, for tests of boards.
#pragma once

#include <initializer_list>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "board/wiring.hpp"
#include "support/how_many.hpp"

namespace gapwright::testing_support {

inline const int few_starts = how_many(1, 4);
inline const int usual_starts = how_many(2, 12);
inline const std::uint64_t many_seeds = how_many(1U, 8U);

using MaybeNode = std::optional<std::size_t>;

// Puts a wiring together, a line for each node and part.
class WiringMaker {
  public:
    std::size_t node(Side side, std::string name, Rail rail = Rail::none) {
        wiring_.nodes.push_back({side, std::move(name), rail});
        return wiring_.nodes.size() - 1;
    }
    void resistor(std::string name, Side side, MaybeNode a, MaybeNode b) {
        part(std::move(name), side, {Body::axial, 3, 6, 2.5, 1, 1}, {{"1", a}, {"2", b}});
    }
    void capacitor(std::string name, Side side, MaybeNode a, MaybeNode b) {
        part(std::move(name), side, {Body::radial, 1, 2, 2, 1, 3}, {{"1", a}, {"2", b}});
    }
    void transistor(std::string name, Side side, MaybeNode e, MaybeNode b, MaybeNode c) {
        part(std::move(name), side, {Body::in_line, 1, 1, 2, 1.5, 2},
             {{"emitter", e}, {"base", b}, {"collector", c}});
    }
    // As many pins as nodes, half of them on each side.
    void coupler(std::string name, std::initializer_list<MaybeNode> nodes) {
        std::vector<WiringPin> pins;
        for (const MaybeNode& at : nodes) pins.push_back({std::to_string(pins.size() + 1), at});
        const double length = static_cast<double>(pins.size()) / 2;
        part(std::move(name), Side::input, {Body::coupler, 3, 3, length, 2.5, 1.5}, pins);
    }
    void leads(std::string name, Side side, std::initializer_list<MaybeNode> nodes) {
        std::vector<WiringPin> pins;
        for (const MaybeNode& at : nodes) pins.push_back({std::to_string(pins.size() + 1), at});
        part(std::move(name), side, {Body::leads, 1, 1, 0, 0, 0}, pins);
    }
    const Wiring& wiring() const { return wiring_; }

  private:
    void part(std::string name, Side side, Footprint footprint, std::vector<WiringPin> pins) {
        wiring_.parts.push_back({std::move(name), side, footprint, std::move(pins)});
    }
    Wiring wiring_;
};

// Supply, resistor and coupler; pull-up and signal. The least whole link; all other tests start
// from it. Nodes: 0 supply, 1 return, 2 between R1 and U1; 3 supply, 4 return, 5 signal.
inline Wiring least_link() {
    WiringMaker made;
    const auto in_plus = made.node(Side::input, "supply", Rail::supply);
    const auto in_minus = made.node(Side::input, "return", Rail::returns);
    const auto anode = made.node(Side::input, "between R1 and U1");
    const auto out_plus = made.node(Side::output, "supply", Rail::supply);
    const auto out_minus = made.node(Side::output, "return", Rail::returns);
    const auto signal = made.node(Side::output, "signal");
    made.leads("input supply", Side::input, {in_plus, in_minus});
    made.resistor("R1", Side::input, in_plus, anode);
    made.coupler("U1", {anode, in_minus, out_minus, signal});
    made.resistor("R2", Side::output, out_plus, signal);
    made.leads("output supply", Side::output, {out_plus, out_minus});
    made.leads("signal", Side::output, {signal});
    return made.wiring();
}

}  // namespace gapwright::testing_support
