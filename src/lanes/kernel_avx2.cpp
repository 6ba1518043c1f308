// Compiled for AVX2; see src/CMakeLists.txt.
#include "lanes/kernel.hpp"
#include "lanes/kernels.hpp"
#include "lanes/wave_group.hpp"

namespace gapwright {

LaneKernel avx2_kernel() {
    return kernel_of<xsimd::fma3<xsimd::avx2>>("AVX2");
}

}  // namespace gapwright
