// Compiled for SSE2; see src/CMakeLists.txt.
#include "lanes/kernel.hpp"
#include "lanes/kernels.hpp"
#include "lanes/wave_group.hpp"

namespace gapwright {

LaneKernel sse2_kernel() {
    return kernel_of<xsimd::sse2>("SSE2");
}

}  // namespace gapwright
