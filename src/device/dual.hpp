// A value with its first derivatives: forward differentiation of the device laws.
//
// Own code, since the lanes of the population engine need a dual over a lane type, which the
// general libraries' duals do not admit.
#pragma once

#include <array>
#include <cmath>
#include <cstddef>

#include "device/number.hpp"

namespace gapwright {

// `slope[k]` is the derivative of `value` to the k-th independent variable. `Real` is double, or
// any type with the same operations.
template <class Real, std::size_t N>
struct Dual {
    Real value{};
    std::array<Real, N> slope{};

    Dual() = default;
    Dual(const Real& constant) : value(constant) {}  // NOLINT: a constant is a Dual

    // The k-th independent variable.
    static Dual variable(const Real& value, std::size_t k) {
        Dual result(value);
        result.slope[k] = Real(1.0);
        return result;
    }

    // f(this) where f has value `f` and derivative `df` here.
    Dual chain(const Real& f, const Real& df) const {
        Dual result(f);
        for (std::size_t k = 0; k < N; ++k) result.slope[k] = slope[k] * df;
        return result;
    }

    friend Dual operator-(const Dual& a) { return a.chain(-a.value, Real(-1.0)); }
    friend Dual operator+(const Dual& a, const Dual& b) {
        Dual result(a.value + b.value);
        for (std::size_t k = 0; k < N; ++k) result.slope[k] = a.slope[k] + b.slope[k];
        return result;
    }
    friend Dual operator-(const Dual& a, const Dual& b) {
        Dual result(a.value - b.value);
        for (std::size_t k = 0; k < N; ++k) result.slope[k] = a.slope[k] - b.slope[k];
        return result;
    }
    friend Dual operator*(const Dual& a, const Dual& b) {
        Dual result(a.value * b.value);
        for (std::size_t k = 0; k < N; ++k) {
            result.slope[k] = a.slope[k] * b.value + a.value * b.slope[k];
        }
        return result;
    }
    // With a constant, which costs less.
    friend Dual operator+(const Dual& a, const Real& b) {
        Dual result(a);
        result.value = a.value + b;
        return result;
    }
    friend Dual operator-(const Dual& a, const Real& b) {
        Dual result(a);
        result.value = a.value - b;
        return result;
    }
    friend Dual operator*(const Dual& a, const Real& b) { return a.chain(a.value * b, b); }
    friend Dual operator/(const Dual& a, const Real& b) {
        const Real inverse = Real(1.0) / b;
        return a.chain(a.value * inverse, inverse);
    }
    friend Dual operator/(const Dual& a, const Dual& b) {
        const Real inverse = Real(1.0) / b.value;
        Dual result(a.value * inverse);
        for (std::size_t k = 0; k < N; ++k) {
            result.slope[k] = (a.slope[k] - result.value * b.slope[k]) * inverse;
        }
        return result;
    }
    // The same with the constant first.
    friend Dual operator-(const Real& a, const Dual& b) { return b.chain(a - b.value, Real(-1.0)); }
    friend Dual operator*(const Real& a, const Dual& b) { return b.chain(a * b.value, a); }
    friend Dual operator/(const Real& a, const Dual& b) {
        const Real inverse = Real(1.0) / b.value;
        const Real quotient = a * inverse;
        return b.chain(quotient, -quotient * inverse);
    }

    friend Dual exp(const Dual& a) {
        using std::exp;
        const Real e = exp(a.value);
        return a.chain(e, e);
    }
    friend Dual expm1(const Dual& a) {
        using std::expm1;
        const Real e = expm1(a.value);
        return a.chain(e, e + 1.0);
    }
    // The law's own helpers, whose derivatives are simpler than the chain of their parts: beyond
    // the knee both go on as tangents.
    friend Dual limited_exponential(const Dual& a) {
        const Real e = limited_exponential(a.value);
        return a.chain(e, minimum(e, Real(exponential_at_knee)));
    }
    friend Dual limited_exponential_minus_1(const Dual& a) {
        const Real e = limited_exponential_minus_1(a.value);
        return a.chain(e, minimum(e + 1.0, Real(exponential_at_knee)));
    }
    friend Dual log1p(const Dual& a) {
        using std::log1p;
        return a.chain(log1p(a.value), Real(1.0) / (a.value + 1.0));
    }
    friend Dual sqrt(const Dual& a) {
        using std::sqrt;
        const Real root = sqrt(a.value);
        return a.chain(root, Real(0.5) / root);
    }
    friend Dual tanh(const Dual& a) {
        using std::tanh;
        const Real t = tanh(a.value);
        return a.chain(t, Real(1.0) - t * t);
    }
    friend Dual log(const Dual& a) {
        using std::log;
        return a.chain(log(a.value), Real(1.0) / a.value);
    }
    friend Dual cos(const Dual& a) {
        using std::cos;
        using std::sin;
        return a.chain(cos(a.value), -sin(a.value));
    }
    // For a base above zero; at zero, where the derivative may be infinite, it is told as zero.
    friend Dual pow(const Dual& a, const Dual& b) {
        using std::log;
        using std::pow;
        const auto positive = a.value > Real(0.0);
        const Real base = choose(positive, a.value, Real(1.0));
        const Real power = pow(a.value, b.value);
        Dual result(power);
        for (std::size_t k = 0; k < N; ++k) {
            const Real moved = power * (b.value * a.slope[k] / base + log(base) * b.slope[k]);
            result.slope[k] = choose(positive, moved, Real(0.0));
        }
        return result;
    }
    friend Dual minimum(const Dual& a, const Dual& b) { return of_two(a.value < b.value, a, b); }
    friend Dual maximum(const Dual& a, const Dual& b) { return of_two(a.value > b.value, a, b); }
    friend Dual minimum(const Dual& a, const Real& b) { return of_two(a.value < b, a, Dual(b)); }
    friend Dual maximum(const Dual& a, const Real& b) { return of_two(a.value > b, a, Dual(b)); }

  private:
    template <class Condition>
    static Dual of_two(const Condition& first, const Dual& a, const Dual& b) {
        Dual result(choose(first, a.value, b.value));
        for (std::size_t k = 0; k < N; ++k) {
            result.slope[k] = choose(first, a.slope[k], b.slope[k]);
        }
        return result;
    }
};

}  // namespace gapwright
