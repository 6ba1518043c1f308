// Links whose sensitivities are looked at.
#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <string>
#include <vector>

#include "population/specimen.hpp"
#include "support/link_measures.hpp"

namespace gapwright::testing_support {

struct Subject {
    std::string name;
    LinkCircuit circuit;
    ConditionRanges ranges;
    std::vector<Measure> measures;
    std::vector<FigureRange> figures;

    Subject(std::string title, const Link& link)
        : name(std::move(title)),
          circuit(*build_circuit(link)),
          ranges(condition_ranges(link)),
          measures(all_measures(link, circuit)),
          figures(figure_ranges(circuit, ranges)) {}

    std::string figure_name(std::size_t row) const {
        if (row < circuit.parameters.size()) return circuit.name_of(static_cast<Slot>(row));
        static const std::array<std::string, 3> conditions{"temperature", "light", "age"};
        return conditions[row - circuit.parameters.size()];
    }
};

inline std::vector<Subject> examples() {
    std::vector<Subject> subjects;
    for (const auto& entry :
         std::filesystem::directory_iterator(PROJECT_FOLDER "/examples/clock-tower")) {
        if (entry.path().extension() != ".toml") continue;
        subjects.emplace_back(entry.path().filename(), *read_link_file(entry.path().string()));
    }
    return subjects;
}

// A figure of nothing (no light, a leak of nothing) is as large as its range.
inline double size_of(const FigureRange& range, double value) {
    return std::max(std::abs(value), range.highest - range.lowest);
}

inline double figure_of(const Specimen& specimen, std::size_t row) {
    const std::size_t slots = specimen.values.size();
    if (row < slots) return specimen.values[row];
    const Conditions& c = specimen.conditions;
    return row == slots ? c.temperature : row == slots + 1 ? c.light : c.age;
}

}  // namespace gapwright::testing_support
