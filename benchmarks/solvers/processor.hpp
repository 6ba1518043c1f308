// What the processor itself does: the time of one exponential and of one multiply-add in lanes.
#pragma once

#include <cstddef>

namespace gapwright::benchmarks {

// Works out `count` values (a multiple of 64), over and over the same; returns something of them.
struct ProcessorLimits {
    const char* name;
    double (*exponentials)(std::size_t count);
    double (*multiply_adds)(std::size_t count);
};

ProcessorLimits sse2_limits();
ProcessorLimits avx2_limits();
ProcessorLimits avx512_limits();

}  // namespace gapwright::benchmarks
