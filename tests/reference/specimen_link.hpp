// Specimens of a link file as the second solution takes them: the file's paths and kinds, and each
// specimen's figures by their names. Nothing of the project's networks is used, only what its slots
// are called and what they hold.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "population/specimen.hpp"
#include "reference/made_link.hpp"
#include "reference/second_solver.hpp"

namespace gapwright::reference {

// One state of a specimen, solved.
struct StateSolution {
    SecondSide input;
    SecondPoint input_point;
    SecondSide output;
    SecondPoint output_point;
};

class SpecimenLink {
  public:
    SpecimenLink(const Link& link, const LinkCircuit& circuit);
    SpecimenLink(const SpecimenLink&) = delete;  // keeps addresses of its own figures
    SpecimenLink& operator=(const SpecimenLink&) = delete;

    void take(const Specimen& specimen);

    // Every state of the specimen taken last, in the link's order; `start`, the second solver's own
    // solution of another specimen. Empty when a state has no point.
    std::optional<std::vector<StateSolution>> solve(
        const std::vector<StateSolution>* start = nullptr) const;

    // The specimen taken last as a made-up link, and what one of its gaps throws on its receiver.
    const MadeLink& made() const { return made_; }
    double light(const MadePart& gap, double current, double ageing_current) const;

  private:
    // Where a slot's value goes: figure = value · factor.
    struct Target {
        double* figure = nullptr;
        double factor = 1;
    };
    double* place(const std::string& part, const std::string& key);
    Target target(const std::string& name);

    MadeLink made_;
    std::vector<std::string> states_;  // in the link's order
    std::vector<double> shares_;       // of its life, by state; empty: not known
    std::vector<Target> targets_;      // by slot
    Conditions around_;
};

}  // namespace gapwright::reference
