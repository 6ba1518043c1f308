// Memory for rows of lanes. Internal to the layers that hand work to kernels; kernels themselves
// take what they are given.
#pragma once

#include <cstddef>
#include <memory>
#include <new>

#include "lanes/kernel.hpp"

namespace gapwright {

struct AlignedDelete {
    void operator()(double* p) const { ::operator delete[](p, std::align_val_t{lane_alignment}); }
};
using AlignedRows = std::unique_ptr<double[], AlignedDelete>;

// So many numbers, not yet written, at a place that registers can load from.
inline AlignedRows aligned_rows(std::size_t numbers) {
    return AlignedRows(static_cast<double*>(
        ::operator new[](numbers * sizeof(double), std::align_val_t{lane_alignment})));
}

}  // namespace gapwright
