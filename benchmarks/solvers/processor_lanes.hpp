// Included by one file an instruction set.
#pragma once

#include "lanes/number.hpp"
#include "solvers/processor.hpp"

namespace gapwright::benchmarks {

template <class Arch>
double exponentials(std::size_t count) {
    using L = Lanes<Arch>;
    L sums[4] = {};
    L x[4] = {L(-1.0), L(0.3), L(2.0), L(5.0)};
    for (std::size_t k = 0; k < count; k += 4 * L::width) {
        for (int i = 0; i < 4; ++i) {
            sums[i] = sums[i] + exp(x[i]);
            x[i] = x[i] + 1e-9;
        }
    }
    alignas(64) double each[L::width];
    (sums[0] + sums[1] + sums[2] + sums[3]).store(each);
    return each[0];
}

template <class Arch>
double multiply_adds(std::size_t count) {
    using L = Lanes<Arch>;
    constexpr int chains = 8;  // enough to hide the latency
    L x[chains];
    for (int i = 0; i < chains; ++i) x[i] = L(1.0 + i);
    const L a(1e-3);
    for (std::size_t k = 0; k < count; k += chains * L::width) {
        for (int i = 0; i < chains; ++i) x[i] = minus_product(x[i], a, x[i]);
    }
    L sum(0.0);
    for (int i = 0; i < chains; ++i) sum = sum + x[i];
    alignas(64) double each[L::width];
    sum.store(each);
    return each[0];
}

template <class Arch>
ProcessorLimits limits_of(const char* name) {
    return {name, exponentials<Arch>, multiply_adds<Arch>};
}

}  // namespace gapwright::benchmarks
