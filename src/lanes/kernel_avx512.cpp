// Compiled for AVX-512; see src/CMakeLists.txt.
#include "lanes/group_solver.hpp"
#include "lanes/kernel.hpp"
#include "lanes/kernels.hpp"

namespace gapwright {

LaneKernel avx512_kernel() {
    return kernel_of<xsimd::avx512bw>("AVX-512");
}

}  // namespace gapwright
