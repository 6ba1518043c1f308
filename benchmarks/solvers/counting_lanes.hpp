// Counts what one specimen takes: the kernels' own code over a number that counts its operations.
#pragma once

#include <cmath>
#include <cstdint>
#include <limits>

#include "lanes/group_solver.hpp"

namespace gapwright {

namespace benchmarks {

struct Operations {
    std::uint64_t functions = 0;   // exponentials, logarithms and their kin; a power is two
    std::uint64_t arithmetic = 0;  // additions, multiplications, comparisons; a multiply-add is one
    std::uint64_t divisions = 0;   // square roots too
};
inline Operations counted;

struct Counting {};  // in place of an instruction set

}  // namespace benchmarks

template <>
struct Lanes<benchmarks::Counting> {
    static constexpr std::size_t width = 1;
    struct Mask {
        bool yes = false;
        Mask() = default;
        explicit Mask(bool same) : yes(same) {}
        friend Mask operator&(Mask a, Mask b) { return Mask(a.yes && b.yes); }
        friend Mask operator|(Mask a, Mask b) { return Mask(a.yes || b.yes); }
        friend Mask operator!(Mask a) { return Mask(!a.yes); }
        friend bool any(Mask a) { return a.yes; }
        friend bool all(Mask a) { return a.yes; }
    };

    double value = 0;

    Lanes() = default;
    Lanes(double v) : value(v) {}  // NOLINT: as in lanes
    static Lanes load(const double* p) { return *p; }
    void store(double* p) const { *p = value; }

    static Lanes arithmetic(double v) {
        ++benchmarks::counted.arithmetic;
        return v;
    }
    static Lanes function(double v) {
        ++benchmarks::counted.functions;
        return v;
    }
    static Lanes division(double v) {
        ++benchmarks::counted.divisions;
        return v;
    }
    static Mask compared(bool yes) {
        ++benchmarks::counted.arithmetic;
        return Mask(yes);
    }

    friend Lanes operator-(Lanes a) { return -a.value; }
    friend Lanes operator+(Lanes a, Lanes b) { return arithmetic(a.value + b.value); }
    friend Lanes operator-(Lanes a, Lanes b) { return arithmetic(a.value - b.value); }
    friend Lanes operator*(Lanes a, Lanes b) { return arithmetic(a.value * b.value); }
    friend Lanes operator/(Lanes a, Lanes b) { return division(a.value / b.value); }
    friend Lanes minus_product(Lanes a, Lanes b, Lanes c) {
        return arithmetic(a.value - b.value * c.value);
    }
    friend Mask operator<(Lanes a, Lanes b) { return compared(a.value < b.value); }
    friend Mask operator>(Lanes a, Lanes b) { return compared(a.value > b.value); }
    friend Mask operator<=(Lanes a, Lanes b) { return compared(a.value <= b.value); }
    friend Lanes exp(Lanes a) { return function(std::exp(a.value)); }
    friend Lanes expm1(Lanes a) { return function(std::expm1(a.value)); }
    friend Lanes log(Lanes a) { return function(std::log(a.value)); }
    friend Lanes log1p(Lanes a) { return function(std::log1p(a.value)); }
    friend Lanes sqrt(Lanes a) { return division(std::sqrt(a.value)); }
    friend Lanes tanh(Lanes a) { return function(std::tanh(a.value)); }
    friend Lanes cos(Lanes a) { return function(std::cos(a.value)); }
    friend Lanes abs(Lanes a) { return std::abs(a.value); }
    friend Lanes pow(Lanes a, Lanes b) {
        ++benchmarks::counted.functions;
        return function(std::pow(a.value, b.value));
    }
    friend Lanes minimum(Lanes a, Lanes b) { return arithmetic(std::min(a.value, b.value)); }
    friend Lanes maximum(Lanes a, Lanes b) { return arithmetic(std::max(a.value, b.value)); }
    friend Lanes choose(Mask yes, Lanes a, Lanes b) {
        return arithmetic(yes.yes ? a.value : b.value);
    }
};

namespace benchmarks {

inline LaneKernel counting_kernel() {
    return kernel_of<Counting>("counting");
}

}  // namespace benchmarks
}  // namespace gapwright
