#include "lanes/kernel.hpp"
#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "lanes/kernels.hpp"
#include "lanes/one_step.hpp"
#include "lanes/plan.hpp"
#include "lanes/wave_plan.hpp"

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

std::size_t wave_work_rows(const WavePlan& plan) {
    std::size_t rows = work_rows(plan.rest);
    for (const WaveSidePlan* side : {&plan.input, &plan.output}) {
        const std::size_t unknowns = side->elimination.unknowns + 1;
        rows += rows_of_device * side->devices.size() +
                rows_of_charge * side->device_charges.size() +
                2 * side->elimination.entries.size() + (7 + one_step::stages) * unknowns +
                2 * side->devices.size() + (one_step::stages + 3) * side->charges() +
                2 * side->windings.size() + side->cells.size();
    }
    return rows + plan.rest.gaps.size() + 4 * plan.movers.size() +
           rows_of_probe * plan.probes.size();
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

const LaneKernel& kernel_named(const std::string& name) {
    const auto& kernels = usable_kernels();
    const auto found = std::ranges::find_if(
        kernels, [&](const LaneKernel& k) { return std::string_view(k.name) == name; });
    return found == kernels.end() ? kernels.back() : *found;
}

}  // namespace gapwright
