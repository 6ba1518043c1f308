#include "design/choice_tree.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <span>

#include "design/stock.hpp"
#include "design/value_problem.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

double logarithmic(const Ends& r) {
    return std::log(r.highest / r.lowest);
}

// How far from its nominal a tolerance goes, as logarithms.
double below(const Spread& s) {
    return std::log(s.nominal / s.lowest);
}
double above(const Spread& s) {
    return std::log(s.highest / s.nominal);
}

// Ends that differ by no more than rounding are one.
constexpr double alike = 1e-12;

}  // namespace

double ChoiceTree::Node::width() const {
    return std::max({logarithmic(nominal), logarithmic(low_end), logarithmic(high_end)});
}

Ends ChoiceTree::Node::at_share(double share) const {
    if (share == at_nominal) return nominal;
    // Of each choice the value lies between its ends; that of the least ends is least.
    return {std::lerp(low_end.lowest, high_end.lowest, share),
            std::lerp(low_end.highest, high_end.highest, share)};
}

ChoiceTree::ChoiceTree(const Stock& stock, std::span<const std::uint32_t> choices)
    : stock_(stock), order_(choices.begin(), choices.end()) {
    nodes_.reserve(2 * order_.size());
    Node root;
    root.count = static_cast<std::uint32_t>(order_.size());
    describe(root);
    nodes_.push_back(root);
    for (std::uint32_t k = 0; k < nodes_.size(); ++k) grow(k);
}

void ChoiceTree::describe(Node& node) const {
    for (const auto c : choices(node)) {
        const Choice& choice = stock_.choices[c];
        node.nominal.take(choice.value.nominal);
        node.low_end.take(choice.value.lowest);
        node.high_end.take(choice.value.highest);
        node.power =
            std::max(node.power, choice.power.value_or(std::numeric_limits<double>::infinity()));
    }
    const double halfway = std::sqrt(node.nominal.lowest * node.nominal.highest);
    const auto all = choices(node);
    const auto at = std::ranges::lower_bound(
        all, halfway, {}, [&](auto c) { return stock_.choices[c].value.nominal; });
    node.middle = at == all.end() ? all.back() : *at;
}

void ChoiceTree::grow(std::uint32_t at) {
    const Node node = nodes_[at];
    if (node.width() <= alike) return;
    const std::uint32_t left = part(node);
    if (left == 0 || left == node.count) return;
    Node a;
    a.first = node.first;
    a.count = left;
    Node b;
    b.first = node.first + left;
    b.count = node.count - left;
    describe(a);
    describe(b);
    nodes_[at].children = static_cast<std::uint32_t>(nodes_.size());
    nodes_.push_back(a);
    nodes_.push_back(b);
}

// Puts the node's choices into two groups, by value or, where tolerances lie further apart, by
// those; each group ascending by value. How many are in the first.
std::uint32_t ChoiceTree::part(const Node& node) {
    Ends down;
    Ends up;
    for (const auto c : choices(node)) {
        down.take(below(stock_.choices[c].value));
        up.take(above(stock_.choices[c].value));
    }
    const double by_down = down.highest - down.lowest;
    const double by_up = up.highest - up.lowest;
    const auto begin = order_.begin() + node.first;
    const auto end = begin + node.count;
    const auto split = [&](auto&& first) {
        return static_cast<std::uint32_t>(std::stable_partition(begin, end, first) - begin);
    };
    if (std::max(by_down, by_up) > logarithmic(node.nominal)) {
        const bool low = by_down > by_up;
        const Ends& range = low ? down : up;
        const double halfway = 0.5 * (range.lowest + range.highest);
        return split([&](auto c) {
            const Spread& s = stock_.choices[c].value;
            return (low ? below(s) : above(s)) <= halfway;
        });
    }
    const double halfway = std::sqrt(node.nominal.lowest * node.nominal.highest);
    return split([&](auto c) { return stock_.choices[c].value.nominal <= halfway; });
}

}  // namespace gapwright
