// Compiled for SSE2; see benchmarks/CMakeLists.txt.
#include "solvers/processor_lanes.hpp"

namespace gapwright::benchmarks {

ProcessorLimits sse2_limits() {
    return limits_of<xsimd::sse2>("SSE2");
}

}  // namespace gapwright::benchmarks
