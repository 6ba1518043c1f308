// Compiled for AVX2; see src/CMakeLists.txt.
#include "lanes/group_solver.hpp"
#include "lanes/kernel.hpp"
#include "lanes/kernels.hpp"

namespace gapwright {

LaneKernel avx2_kernel() {
    return kernel_of<xsimd::fma3<xsimd::avx2>>("AVX2");
}

}  // namespace gapwright
