#include "circuit/prepared.hpp"
#include <span>
#include <variant>
#include <vector>
#include "circuit/index.hpp"
#include "circuit/network.hpp"
#include "circuit/operating_point.hpp"

namespace gapwright::prepared {

std::vector<Element> prepare(const Network& network, std::span<const double> values,
                             const Conditions& conditions, const GapLight& light) {
    const auto value = [&](Slot slot) { return values[to_index(slot)]; };
    const Preparer<double, decltype(value)> preparer{value, conditions.temperature, light};
    std::vector<Element> result;
    result.reserve(network.elements.size());
    for (const auto& element : network.elements) result.push_back(std::visit(preparer, element));
    return result;
}

}  // namespace gapwright::prepared
