// How likely each fault is, given readings: Bayes' rule over the dictionary.
//
// A fault's readings are spread as its simulated specimens are
// (bench/reasoning/specimen_kernel.hpp).
#pragma once

#include <cstddef>
#include <span>
#include <vector>
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/specimen_kernel.hpp"

namespace gapwright {

// What the dictionary does not hold has readings, too: each by itself, like those of some fault or
// of a good link, or like none; but no one fault's together. So it falls behind where a fault
// explains all readings and stays where none does. How often it is met is our own choice; that
// shares then hold is a test (tests/reference/second_bench).

// A reading that was taken: which of the dictionary's measurements, and what the meter showed, V, A
// or Ω; infinity for over range.
struct TakenReading {
    std::size_t measurement = 0;
    double value = 0;
    bool confirmed = false;  // it was asked for again and read so
};

// What a fault's specimens say of one more measurement, given readings: a Gaussian of `deviation`
// at each of `centres`, weighted; all on the scale of readings, the meter's error in it.
struct Prediction {
    std::vector<double> centres;
    std::span<const double> weights;
    double deviation = 0;
};

class Suspicion {
  public:
    // Refers to the dictionary. `no_fault` is how likely a link without a fault is before anything
    // was measured, 0 … 1.
    Suspicion(const FaultDictionary& dictionary, double no_fault);

    // Takes all of `readings` into account, and nothing else.
    void weigh(const std::vector<TakenReading>& readings);

    // By fault; they and `unexplained` add up to one.
    const std::vector<double>& of_faults() const { return posterior_; }
    // By suspect: the sum over its faults.
    std::vector<double> of_suspects() const;
    // That none of the dictionary's faults is what is wrong.
    double unexplained() const { return unexplained_; }
    // How likely the readings are at all, as a logarithm of their density on the scale.
    double log_evidence() const { return log_evidence_; }

    Prediction predict(std::size_t fault, std::size_t measurement) const;

    // What a quantity of a fault's specimens is expected to be, given the readings; `values` are by
    // specimen. Of specimens that read nearly so, the quantity follows the readings as it does
    // among all of them.
    double expectation(std::size_t fault, std::span<const double> values) const;

    // Weights of a fault's specimens, adding up to one.
    std::span<const double> specimen_weights(std::size_t fault) const;

    const FaultDictionary& dictionary() const { return dictionary_; }

  private:
    using Values = std::vector<double>;

    void weigh_fault(std::size_t fault, SpecimenKernel& state) const;
    void weigh_loose(std::size_t fault, SpecimenKernel& state) const;
    ReadAmongSpecimens among(std::size_t fault, std::size_t reading) const;
    // Of one reading by itself.
    double density_of(std::size_t fault, std::size_t reading) const;
    Prediction predict_loose(std::size_t fault, std::size_t measurement) const;
    // A fault's specimens of one of the readings: what an unknown range of the meter would have
    // shown as over range, if that was read, is it.
    Values values_of(std::size_t fault, std::size_t reading) const;
    // By reading: log density of those of something that the dictionary does not hold.
    std::vector<double> something_else() const;

    const FaultDictionary& dictionary_;
    std::vector<double> prior_;  // by fault
    double unexplained_prior_;
    std::vector<TakenReading> readings_;
    std::vector<double> scaled_;  // the readings on their scale
    std::vector<double> errors_;
    std::vector<double> else_logs_;
    std::vector<SpecimenKernel> states_;  // by fault
    std::vector<double> posterior_;
    double unexplained_ = 0;
    double log_evidence_ = 0;
};

}  // namespace gapwright
