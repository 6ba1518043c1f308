#include "lanes/kernel.hpp"
#include <cstddef>
#include <vector>

#include "lanes/kernels.hpp"
#include "lanes/plan.hpp"

namespace gapwright {

std::size_t work_rows(const LanePlan& plan) {
    std::size_t rows = (plan.states() + 1) * plan.gaps.size();
    for (const SidePlan* side : {&plan.input, &plan.output}) {
        const std::size_t results = side->unknowns + 1 + 2 * side->devices.size();
        rows += plan.states() * results + rows_of_device * side->devices.size() +
                2 * side->most_entries + 3 * (side->unknowns + 1) + side->nodes;
    }
    return rows;
}

const std::vector<LaneKernel>& usable_kernels() {
    static const std::vector<LaneKernel> kernels = [] {
        std::vector<LaneKernel> usable = {sse2_kernel()};
        if (__builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma")) {
            usable.push_back(avx2_kernel());
        }
        if (__builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512cd") &&
            __builtin_cpu_supports("avx512dq") && __builtin_cpu_supports("avx512bw")) {
            usable.push_back(avx512_kernel());
        }
        return usable;
    }();
    return kernels;
}

}  // namespace gapwright
