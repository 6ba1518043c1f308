// Compiled for AVX2; see benchmarks/CMakeLists.txt.
#include "solvers/processor_lanes.hpp"

namespace gapwright::benchmarks {

ProcessorLimits avx2_limits() {
    return limits_of<xsimd::fma3<xsimd::avx2>>("AVX2");
}

}  // namespace gapwright::benchmarks
