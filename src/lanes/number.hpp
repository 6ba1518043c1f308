// A lane number: the same quantity of several specimens, one a lane, in one SIMD register.
//
// `Arch` is one of xsimd's instruction sets. With this type the device laws solve as many specimens
// at once as the register has lanes; Dual<Lanes> gives their derivatives.
#pragma once

#include <xsimd/xsimd.hpp>

#include "device/number.hpp"

namespace gapwright {

template <class Arch>
struct Lanes {
    using Register = xsimd::batch<double, Arch>;
    using Mask = typename Register::batch_bool_type;
    static constexpr std::size_t width = Register::size;

    Register register_value{};

    Lanes() = default;
    Lanes(Register r) : register_value(r) {}      // NOLINT: a register is a Lanes
    Lanes(double same) : register_value(same) {}  // NOLINT: a constant is the same in every lane

    // `aligned` on a boundary of the register's size.
    static Lanes load(const double* aligned) { return Register::load_aligned(aligned); }
    void store(double* aligned) const { register_value.store_aligned(aligned); }

    friend Lanes operator-(const Lanes& a) { return -a.register_value; }
    friend Lanes operator+(const Lanes& a, const Lanes& b) {
        return a.register_value + b.register_value;
    }
    friend Lanes operator-(const Lanes& a, const Lanes& b) {
        return a.register_value - b.register_value;
    }
    friend Lanes operator*(const Lanes& a, const Lanes& b) {
        return a.register_value * b.register_value;
    }
    friend Lanes operator/(const Lanes& a, const Lanes& b) {
        return a.register_value / b.register_value;
    }
    // a − b·c, fused where the instruction set can.
    friend Lanes minus_product(const Lanes& a, const Lanes& b, const Lanes& c) {
        return xsimd::fnma(b.register_value, c.register_value, a.register_value);
    }

    friend Mask operator<(const Lanes& a, const Lanes& b) {
        return a.register_value < b.register_value;
    }
    friend Mask operator>(const Lanes& a, const Lanes& b) {
        return a.register_value > b.register_value;
    }
    // false where either is NaN
    friend Mask operator<=(const Lanes& a, const Lanes& b) {
        return a.register_value <= b.register_value;
    }

    friend Lanes exp(const Lanes& a) { return xsimd::exp(a.register_value); }
    friend Lanes expm1(const Lanes& a) { return xsimd::expm1(a.register_value); }
    friend Lanes log(const Lanes& a) { return xsimd::log(a.register_value); }
    friend Lanes log1p(const Lanes& a) { return xsimd::log1p(a.register_value); }
    friend Lanes sqrt(const Lanes& a) { return xsimd::sqrt(a.register_value); }
    friend Lanes tanh(const Lanes& a) { return xsimd::tanh(a.register_value); }
    // Lane by lane: the library's own leaves code behind that is not bound to the instruction set,
    // and angles are needed only once a specimen.
    friend Lanes cos(const Lanes& a) {
        alignas(64) double each[width];
        a.store(each);
        for (double& x : each) x = std::cos(x);
        return load(each);
    }
    friend Lanes abs(const Lanes& a) { return xsimd::abs(a.register_value); }
    friend Lanes pow(const Lanes& a, const Lanes& b) {
        return xsimd::pow(a.register_value, b.register_value);
    }
    friend Lanes minimum(const Lanes& a, const Lanes& b) {
        return xsimd::min(a.register_value, b.register_value);
    }
    friend Lanes maximum(const Lanes& a, const Lanes& b) {
        return xsimd::max(a.register_value, b.register_value);
    }
};

// By argument-dependent lookup the mask cannot name a friend of Lanes, so this stands outside.
template <class Arch>
Lanes<Arch> choose(const xsimd::batch_bool<double, Arch>& condition, const Lanes<Arch>& a,
                   const Lanes<Arch>& b) {
    return xsimd::select(condition, a.register_value, b.register_value);
}

}  // namespace gapwright
