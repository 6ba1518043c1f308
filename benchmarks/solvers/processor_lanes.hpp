// Included by one file an instruction set.
#pragma once

#include "lanes/number.hpp"
#include "solvers/processor.hpp"

namespace gapwright::benchmarks {

// A different value in every lane: what is alike would be worked out once and not for each.
template <class Arch>
Lanes<Arch> unlike(double from) {
    using L = Lanes<Arch>;
    alignas(64) double each[L::width];
    for (std::size_t k = 0; k < L::width; ++k) each[k] = from + 1e-3 * static_cast<double>(k);
    return L::load(each);
}

template <class Arch>
double sum_of(const Lanes<Arch>& lanes) {
    alignas(64) double each[Lanes<Arch>::width];
    lanes.store(each);
    double sum = 0;
    for (const double x : each) sum += x;
    return sum;
}

template <class Arch>
double exponentials(std::size_t count) {
    using L = Lanes<Arch>;
    L sums[4] = {L(0.0), L(0.0), L(0.0), L(0.0)};
    L x[4] = {unlike<Arch>(-1.0), unlike<Arch>(0.3), unlike<Arch>(2.0), unlike<Arch>(5.0)};
    for (std::size_t k = 0; k < count; k += 4 * L::width) {
        for (int i = 0; i < 4; ++i) {
            sums[i] = sums[i] + exp(x[i]);
            x[i] = x[i] + 1e-9;
        }
    }
    return sum_of(sums[0] + sums[1] + sums[2] + sums[3]);
}

template <class Arch>
double multiply_adds(std::size_t count) {
    using L = Lanes<Arch>;
    constexpr std::size_t chains = 8 / L::count;  // of registers: enough to hide the latency
    L x[chains];
    for (std::size_t i = 0; i < chains; ++i) x[i] = unlike<Arch>(1.0 + static_cast<double>(i));
    const L a = unlike<Arch>(1e-3);
    for (std::size_t k = 0; k < count; k += chains * L::width) {
        for (std::size_t i = 0; i < chains; ++i) x[i] = minus_product(x[i], a, x[i]);
    }
    L sum(0.0);
    for (std::size_t i = 0; i < chains; ++i) sum = sum + x[i];
    return sum_of(sum);
}

template <class Arch>
ProcessorLimits limits_of(const char* name) {
    return {name, exponentials<Arch>, multiply_adds<Arch>};
}

}  // namespace gapwright::benchmarks
