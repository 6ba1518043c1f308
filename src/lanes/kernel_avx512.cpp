// Compiled for AVX-512; see src/CMakeLists.txt.
#include "lanes/kernel.hpp"
#include "lanes/kernels.hpp"
#include "lanes/wave_group.hpp"

namespace gapwright {

LaneKernel avx512_kernel() {
    return kernel_of<xsimd::avx512bw>("AVX-512");
}

}  // namespace gapwright
