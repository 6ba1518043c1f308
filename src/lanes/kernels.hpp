// The kernels by instruction set; each is built by one file, compiled for it. Internal to the
// layer.
#pragma once

#include "lanes/kernel.hpp"

namespace gapwright {

LaneKernel sse2_kernel();    // what every 64-bit processor has
LaneKernel avx2_kernel();    // with fused multiply-add
LaneKernel avx512_kernel();  // F, CD, DQ and BW

}  // namespace gapwright
