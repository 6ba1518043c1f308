// The density of readings among a fault's specimens, and what those say of one more quantity.
//
// A Gaussian kernel at each specimen, shaped as the specimens' own covariance and as wide as
// Scott's rule says (Scott 1992, Multivariate Density Estimation, 6.3), about centres drawn
// together so that the covariance stays what it is (West 1993, J. R. Statist. Soc. B 55), widened
// by the meter's error.
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace gapwright {

// How near any model comes to a reading, on the scale (own choice).
inline constexpr double model_deviation = 0.015;

// A reading and the fault's specimens of it, all on the scale of bench/meter/reading_scale.hpp.
struct ReadAmongSpecimens {
    double reading = 0;
    double error = 0;            // one standard deviation
    std::vector<double> values;  // by specimen, as many for each reading
};

struct SpecimenKernel {
    double log_density = 0;       // of the readings together
    std::vector<double> weights;  // by specimen, given the readings; adding up to one

    // For `given`.
    double width2 = 1;            // of the kernel, as a share of the covariance
    std::vector<double> inverse;  // of the kernel's matrix, d × d, by rows
    std::vector<double> centred;  // by reading and specimen, about their means
    std::vector<double> pulls;    // by reading and specimen: inverse · (reading − centre)
};

// `specimens`: of the fault, two at least.
SpecimenKernel specimen_kernel(const std::vector<ReadAmongSpecimens>& readings,
                               std::size_t specimens);

// A quantity at each specimen, given the kernel's readings: of specimens that read nearly so it
// follows the readings as it does among all of them. `values` are by specimen.
struct GivenReadings {
    std::vector<double> centres;  // by specimen
    double variance = 0;          // of the kernel at each
    double mean = 0;              // of all, weighted
};
GivenReadings given(const SpecimenKernel& kernel, std::span<const double> values);

}  // namespace gapwright
