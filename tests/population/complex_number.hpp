// Complex numbers as the device laws want them, for derivatives by the complex step.
//
// Parts are of long double: what is checked against them has less precision.
#pragma once

#include <cmath>

namespace gapwright::testing_support {

struct Complex {
    using Part = long double;

    Part re = 0;
    Part im = 0;

    Complex() = default;
    Complex(Part real, Part imaginary = 0) : re(real), im(imaginary) {}  // NOLINT: a real is one

    friend Complex operator-(const Complex& a) { return {-a.re, -a.im}; }
    friend Complex operator+(const Complex& a, const Complex& b) {
        return {a.re + b.re, a.im + b.im};
    }
    friend Complex operator-(const Complex& a, const Complex& b) {
        return {a.re - b.re, a.im - b.im};
    }
    friend Complex operator*(const Complex& a, const Complex& b) {
        return {a.re * b.re - a.im * b.im, a.re * b.im + a.im * b.re};
    }
    // For an imaginary part that is small beside the real one, as it is in a complex step: its
    // ratio keeps the squares of femtoamperes from appearing.
    friend Complex operator/(const Complex& a, const Complex& b) {
        const Part ratio = b.im / b.re;
        const Part divisor = b.re + b.im * ratio;
        return {(a.re + a.im * ratio) / divisor, (a.im - a.re * ratio) / divisor};
    }

    friend Complex exp(const Complex& a) {
        const Part size = std::exp(a.re);
        return {size * std::cos(a.im), size * std::sin(a.im)};
    }
    // e^a cos b − 1 = (e^a − 1) cos b − 2 sin²(b/2).
    friend Complex expm1(const Complex& a) {
        const Part half = std::sin(a.im / 2);
        return {std::expm1(a.re) * std::cos(a.im) - 2 * half * half,
                std::exp(a.re) * std::sin(a.im)};
    }
    friend Complex log(const Complex& a) {
        return {std::log(std::hypot(a.re, a.im)), std::atan2(a.im, a.re)};
    }
    friend Complex log1p(const Complex& a) {
        return {std::log1p(a.re * (2 + a.re) + a.im * a.im) / 2, std::atan2(a.im, 1 + a.re)};
    }
    // The root with a real part above zero.
    friend Complex sqrt(const Complex& a) {
        const Part root = std::sqrt((std::hypot(a.re, a.im) + a.re) / 2);
        return {root, a.im / (2 * root)};
    }
    // (tanh a + i tan b)/(1 + i tanh a tan b) for a + ib.
    friend Complex tanh(const Complex& a) {
        const Part real = std::tanh(a.re);
        const Part imaginary = std::tan(a.im);
        // 1 − tanh² without loss where tanh is nearly one.
        const Part cosh = std::cosh(a.re);
        const Part divisor = 1 + real * real * imaginary * imaginary;
        return {real * (1 + imaginary * imaginary) / divisor, imaginary / (cosh * cosh) / divisor};
    }
    friend Complex cos(const Complex& a) {
        return {std::cos(a.re) * std::cosh(a.im), -std::sin(a.re) * std::sinh(a.im)};
    }
    // For a base above zero; at zero, where the derivative may be infinite, it is told as zero, as
    // the laws' own duals tell it.
    friend Complex pow(const Complex& a, const Complex& b) {
        if (a.re <= 0) return {std::pow(a.re, b.re), 0};
        return exp(b * log(a));
    }

    // A complex step keeps to the branch that the real parts are on.
    friend Complex minimum(const Complex& a, const Complex& b) { return a.re < b.re ? a : b; }
    friend Complex maximum(const Complex& a, const Complex& b) { return a.re > b.re ? a : b; }
    friend Complex choose(bool condition, const Complex& a, const Complex& b) {
        return condition ? a : b;
    }
};

}  // namespace gapwright::testing_support
