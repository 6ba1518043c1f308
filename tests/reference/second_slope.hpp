// A number with its slope to one unknown: the second waveform's Newton steps need exact slopes,
// since a dark receiver's femtosiemens would drown in the rounding of differences.
#pragma once

#include <cmath>
#include <concepts>

namespace gapwright::reference {

struct Slope {
    double value = 0;
    double slope = 0;

    Slope() = default;
    template <class Number>
        requires std::integral<Number> || std::floating_point<Number>
    Slope(Number number) : value(static_cast<double>(number)) {}  // NOLINT: a number is one
    Slope(double at, double rise) : value(at), slope(rise) {}

    friend Slope operator-(const Slope& a) { return {-a.value, -a.slope}; }
    friend Slope operator+(const Slope& a, const Slope& b) {
        return {a.value + b.value, a.slope + b.slope};
    }
    friend Slope operator-(const Slope& a, const Slope& b) {
        return {a.value - b.value, a.slope - b.slope};
    }
    friend Slope operator*(const Slope& a, const Slope& b) {
        return {a.value * b.value, a.slope * b.value + a.value * b.slope};
    }
    friend Slope operator/(const Slope& a, const Slope& b) {
        const double ratio = a.value / b.value;
        return {ratio, (a.slope - ratio * b.slope) / b.value};
    }
    Slope& operator+=(const Slope& b) { return *this = *this + b; }
    friend bool operator>(const Slope& a, const Slope& b) { return a.value > b.value; }
    friend bool operator<(const Slope& a, const Slope& b) { return a.value < b.value; }
    friend bool operator>=(const Slope& a, const Slope& b) { return a.value >= b.value; }

    friend Slope exp(const Slope& a) {
        const double e = std::exp(a.value);
        return {e, e * a.slope};
    }
    friend Slope sqrt(const Slope& a) {
        const double root = std::sqrt(a.value);
        return {root, a.slope / (2 * root)};
    }
    friend Slope log1p(const Slope& a) { return {std::log1p(a.value), a.slope / (1 + a.value)}; }
    friend Slope tanh(const Slope& a) {
        const double t = std::tanh(a.value);
        return {t, (1 - t * t) * a.slope};
    }
    friend Slope abs(const Slope& a) { return a.value < 0 ? -a : a; }
    friend Slope pow(const Slope& a, double exponent) {
        const double power = std::pow(a.value, exponent);
        return {power, exponent * power / a.value * a.slope};
    }
};

}  // namespace gapwright::reference
