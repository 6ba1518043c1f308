#include "reference/outside_box.hpp"

#include <algorithm>
#include <cmath>

namespace gapwright::reference {

OutsideBox::OutsideBox(const LinkCircuit& circuit, const ConditionRanges& ranges,
                       const std::vector<Aim>& aims)
    : aims_(aims), base_(nominal_specimen(circuit, ranges)) {
    const std::size_t slots = circuit.parameters.size();
    for (std::size_t slot = 0; slot < slots; ++slot) add(slot, circuit.parameters[slot].spread);
    add(slots, ranges.temperature);
    add(slots + 1, ranges.light);
    add(slots + 2, ranges.age);
    std::vector<Measure> measures;
    for (const auto& aim : aims) {
        const auto found = std::ranges::find(measures, aim.measure);
        measure_of_.push_back(static_cast<std::size_t>(found - measures.begin()));
        if (found == measures.end()) measures.push_back(aim.measure);
    }
    engine_.emplace(circuit.circuit, measures, base_, figure_ranges(circuit, ranges));
}

void OutsideBox::add(std::size_t row, const Spread& spread) {
    if (!spread.varies()) return;
    const bool decades = spread.lowest > 0 && spread.highest > 10 * spread.lowest;
    axes_.push_back({row, spread.lowest, spread.highest, decades});
}

double OutsideBox::figure(const Axis& axis, double share) const {
    if (share <= 0) return axis.lowest;
    if (share >= 1) return axis.highest;
    if (axis.decades) return axis.lowest * std::pow(axis.highest / axis.lowest, share);
    return axis.lowest + share * (axis.highest - axis.lowest);
}

Specimen OutsideBox::specimen(const Spot& spot) const {
    Specimen specimen = base_;
    const std::size_t slots = base_.values.size();
    for (std::size_t k = 0; k < axes_.size(); ++k) {
        const double value = figure(axes_[k], spot[k]);
        const std::size_t row = axes_[k].row;
        if (row < slots) specimen.values[row] = value;
        if (row == slots) specimen.conditions.temperature = value;
        if (row == slots + 1) specimen.conditions.light = value;
        if (row == slots + 2) specimen.conditions.age = value;
    }
    return specimen;
}

std::vector<std::vector<double>> OutsideBox::badness(const std::vector<Spot>& spots) const {
    std::vector<std::vector<double>> all(spots.size());
    if (spots.empty()) return all;
    std::vector<Specimen> specimens;
    for (const auto& spot : spots) specimens.push_back(specimen(spot));
    const SpecimenSource source{base_, spots.size(), [&](std::size_t k, SpecimenPlace& place) {
                                    for (const auto& axis : axes_) {
                                        if (axis.row >= base_.values.size()) continue;
                                        place.set(static_cast<Slot>(axis.row),
                                                  specimens[k].values[axis.row]);
                                    }
                                    place.set(specimens[k].conditions);
                                }};
    const auto measured = measure_all(*engine_, source, {.threads = 1});
    for (std::size_t k = 0; k < spots.size(); ++k) {
        for (std::size_t aim = 0; aim < aims_.size(); ++aim) {
            all[k].push_back(aims_[aim].badness(measured.at(k, measure_of_[aim]),
                                                specimens[k].conditions.temperature));
        }
    }
    return all;
}

Spot random_spot(std::size_t axes, Random& random) {
    std::uniform_real_distribution<double> share(0, 1);
    const double at_ends = static_cast<double>(random() % 3) / 2;
    Spot spot(axes);
    for (auto& x : spot) {
        x = share(random);
        if (share(random) < at_ends) x = x < 0.5 ? 0 : 1;
    }
    return spot;
}

}  // namespace gapwright::reference
