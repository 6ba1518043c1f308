// The choices of one resistor, halved again and again: a run of choices that lie close together in
// value and tolerance is one node, of which the ends are known without looking at its choices.
#pragma once

#include <algorithm>
#include <cstdint>
#include <limits>
#include <span>
#include <vector>

#include "design/stock.hpp"

namespace gapwright {

// From `lowest` to `highest`.
struct Ends {
    double lowest = std::numeric_limits<double>::infinity();
    double highest = -std::numeric_limits<double>::infinity();

    void take(double x) {
        lowest = std::min(lowest, x);
        highest = std::max(highest, x);
    }
};

class ChoiceTree {
  public:
    struct Node {
        std::uint32_t first = 0;  // its choices, among all of the tree in its order
        std::uint32_t count = 0;
        std::uint32_t children = 0;  // the first of two, next to each other; 0: none
        Ends nominal;                // Ω
        Ends low_end;                // Ω, of the tolerances
        Ends high_end;               // Ω
        double power = 0;            // W, the greatest; infinite where a choice states none
        std::uint32_t middle = 0;    // a choice about halfway, by index into the stock

        // How far its values lie apart, as a natural logarithm.
        double width() const;
        // The resistances that its choices have at one place in their tolerances, Scenario::share.
        Ends at_share(double share) const;
    };

    // `choices`: indices into the stock, at least one, ascending by nominal value.
    ChoiceTree(const Stock& stock, std::span<const std::uint32_t> choices);

    const Node& node(std::uint32_t k) const { return nodes_[k]; }  // 0 holds all
    std::span<const std::uint32_t> choices(const Node& n) const {
        return std::span(order_).subspan(n.first, n.count);
    }

  private:
    void describe(Node& node) const;
    void grow(std::uint32_t at);
    std::uint32_t part(const Node& node);

    const Stock& stock_;
    std::vector<std::uint32_t> order_;
    std::vector<Node> nodes_;
};

}  // namespace gapwright
