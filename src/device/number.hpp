// What a number type must offer so that a device law can be written once for it.
//
// A law is a template over its number types. It uses + - * / and the functions below, never a
// branch on data, so that the same lines serve plain doubles, derivatives (Dual) and lanes of
// specimens.
#pragma once

#include <cmath>

namespace gapwright {

inline double minimum(double a, double b) {
    return a < b ? a : b;
}
inline double maximum(double a, double b) {
    return a > b ? a : b;
}
// `a` where the condition holds, else `b`; in lanes both are worked out.
inline double choose(bool condition, double a, double b) {
    return condition ? a : b;
}

// Beyond this argument every exponential goes on as its tangent, so that a trial voltage far off
// gives a large current and not infinity.
inline constexpr double exponential_knee = 80.0;
// e^80, written out: kernels for other processors must not work it out when the program starts.
inline constexpr double exponential_at_knee = 5.54062238439351e34;

// e^x up to the knee, its tangent beyond; value and slope match there.
template <class Number>
Number limited_exponential(const Number& x) {
    using std::exp;
    return exp(minimum(x, exponential_knee)) +
           maximum(x - exponential_knee, 0.0) * exponential_at_knee;
}

// limited_exponential(x) - 1 without loss of digits near zero.
template <class Number>
Number limited_exponential_minus_1(const Number& x) {
    using std::expm1;
    return expm1(minimum(x, exponential_knee)) +
           maximum(x - exponential_knee, 0.0) * exponential_at_knee;
}

// ln(1 + e^x) for any x.
template <class Number>
Number log_one_plus_exponential(const Number& x) {
    using std::exp;
    using std::log1p;
    const Number size = maximum(x, -x);
    return maximum(x, 0.0) + log1p(exp(-size));
}

}  // namespace gapwright
