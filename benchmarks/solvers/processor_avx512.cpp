// Compiled for AVX-512; see benchmarks/CMakeLists.txt.
#include "solvers/processor_lanes.hpp"

namespace gapwright::benchmarks {

ProcessorLimits avx512_limits() {
    return limits_of<xsimd::avx512bw>("AVX-512");
}

}  // namespace gapwright::benchmarks
