// Bounds of a law over a region together with bounds of its slopes from one point to that region:
//   f(u) ∈ at + Σ slope[k] · (u_k − u_k at the point)   for every u in the region.
// The point need not lie in the region.
// Slopes between a point and others vary half as much as derivatives do over the same region
// (slope arithmetic, from memory: Krawczyk & Neumaier 1985).
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <cstdlib>

#include "device/interval.hpp"
#include "device/number.hpp"

namespace gapwright {

// A number type for device laws, whose figures are then Intervals.
template <std::size_t N>
struct Secant {
    Interval at{};    // at the point
    Interval over{};  // over the region
    std::array<Interval, N> slope{};

    Secant() = default;
    Secant(const Interval& constant) : at(constant), over(constant) {}  // NOLINT: as for Dual

    // The k-th independent variable, at the point and over the region.
    static Secant variable(const Interval& at, const Interval& over, std::size_t k) {
        Secant result;
        result.at = at;
        result.over = over;
        result.slope[k] = Interval(1.0);
        return result;
    }

    // f(this) with its values, where f's own secants from the point have slopes in `df`.
    Secant chain(const Interval& f_at, const Interval& f_over, const Interval& df) const {
        Secant result;
        result.at = f_at;
        result.over = f_over;
        for (std::size_t k = 0; k < N; ++k) result.slope[k] = slope[k] * df;
        return result;
    }

    friend Secant operator-(const Secant& a) {
        Secant result;
        result.at = -a.at;
        result.over = -a.over;
        for (std::size_t k = 0; k < N; ++k) result.slope[k] = -a.slope[k];
        return result;
    }
    friend Secant operator+(const Secant& a, const Secant& b) {
        Secant result;
        result.at = a.at + b.at;
        result.over = a.over + b.over;
        for (std::size_t k = 0; k < N; ++k) result.slope[k] = a.slope[k] + b.slope[k];
        return result;
    }
    friend Secant operator-(const Secant& a, const Secant& b) { return a + (-b); }
    // Either factor may be taken at the point, the other over the region: the narrower slopes, but
    // never one of these and one of those, which together hold no law.
    friend Secant operator*(const Secant& a, const Secant& b) {
        Secant first;
        Secant second;
        double wider = 0;  // how much the first is
        for (std::size_t k = 0; k < N; ++k) {
            first.slope[k] = a.slope[k] * b.over + a.at * b.slope[k];
            second.slope[k] = a.slope[k] * b.at + a.over * b.slope[k];
            wider += first.slope[k].width() - second.slope[k].width();
        }
        Secant& result = wider > 0 ? second : first;
        result.at = a.at * b.at;
        result.over = a.over * b.over;
        return result;
    }
    friend Secant operator/(const Secant& a, const Secant& b) {
        Secant result;
        result.at = a.at / b.at;
        result.over = a.over / b.over;
        for (std::size_t k = 0; k < N; ++k) {
            result.slope[k] = (a.slope[k] - result.at * b.slope[k]) / b.over;
        }
        return result;
    }
    // With a constant, which costs less.
    friend Secant operator+(const Secant& a, const Interval& b) {
        Secant result(a);
        result.at = a.at + b;
        result.over = a.over + b;
        return result;
    }
    friend Secant operator-(const Secant& a, const Interval& b) { return a + (-b); }
    friend Secant operator*(const Secant& a, const Interval& b) {
        return a.chain(a.at * b, a.over * b, b);
    }
    friend Secant operator/(const Secant& a, const Interval& b) {
        return a.chain(a.at / b, a.over / b, Interval(1.0) / b);
    }
    // The same with the constant first.
    friend Secant operator-(const Interval& a, const Secant& b) { return -b + a; }
    friend Secant operator*(const Interval& a, const Secant& b) { return b * a; }
    friend Secant operator/(const Interval& a, const Secant& b) { return Secant(a) / b; }

    friend Secant exp(const Secant& a) {
        const auto f = [](const Interval& x) { return exp(x); };
        return a.chain(f(a.at), f(a.over), rising_secants(a, f(a.both()), f));
    }
    friend Secant log(const Secant& a) {
        return a.chain(log(a.at), log(a.over), Interval(1.0) / a.both());
    }
    friend Secant cos(const Secant& a) { return a.chain(cos(a.at), cos(a.over), -sin(a.both())); }
    // For a base above zero.
    friend Secant pow(const Secant& a, const Secant& b) {
        Secant result;
        result.at = pow(a.at, b.at);
        result.over = pow(a.over, b.over);
        const Interval by_base = b.both() * pow(a.both(), b.both() - Interval(1.0));
        const Interval by_exponent = log(a.both()) * pow(a.both(), b.both());
        for (std::size_t k = 0; k < N; ++k) {
            result.slope[k] = by_base * a.slope[k];
            if (b.varies()) result.slope[k] = result.slope[k] + by_exponent * b.slope[k];
        }
        return result;
    }

    friend Secant limited_exponential(const Secant& a) {
        return a.chain(limited_exponential(a.at), limited_exponential(a.over),
                       exponential_slope(a));
    }
    friend Secant limited_exponential_minus_1(const Secant& a) {
        return a.chain(limited_exponential_minus_1(a.at), limited_exponential_minus_1(a.over),
                       exponential_slope(a));
    }
    // Convex: its secants rise with the far end, between its slopes e^x/(1 + e^x) at the ends.
    friend Secant log_one_plus_exponential(const Secant& a) {
        const auto f = [](const Interval& x) { return log_one_plus_exponential(x); };
        const Interval derivative = Interval(1.0) / (exp(-a.both()) + Interval(1.0));
        return a.chain(f(a.at), f(a.over), rising_secants(a, derivative, f));
    }
    friend Secant sqrt(const Secant& a) {
        const Interval root_at = sqrt(a.at);
        const Interval root_over = sqrt(a.over);
        return a.chain(root_at, root_over, Interval(1.0) / (root_at + root_over));
    }
    friend Secant tanh(const Secant& a) {
        const Interval t = tanh(a.both());
        return a.chain(tanh(a.at), tanh(a.over), maximum(Interval(1.0) - t * t, 0.0));
    }
    friend Secant minimum(const Secant& a, const Interval& b) { return -maximum(-a, -b); }
    friend Secant maximum(const Secant& a, const Interval& b) { return maximum(a, Secant(b)); }
    friend Secant maximum(const Secant& a, const Secant& b) {
        const Truth first = a.both() > b.both();
        Secant result;
        result.at = maximum(a.at, b.at);
        result.over = maximum(a.over, b.over);
        for (std::size_t k = 0; k < N; ++k) {
            result.slope[k] = choose(first, a.slope[k], b.slope[k]);
        }
        return result;
    }

  private:
    Interval both() const { return hull(at, over); }
    bool varies() const {
        return std::ranges::any_of(slope, [](const Interval& s) { return s.magnitude() > 0; });
    }
    // Slopes of the secants of a convex function, which rise with either end; `derivative` bounds
    // them too, and alone where ends are so close that a quotient of differences says nothing.
    template <class Function>
    static Interval rising_secants(const Secant& a, const Interval& derivative, const Function& f) {
        constexpr double close = 1e-3;
        Interval result = derivative;
        const auto between = [&](double from, double to) {
            return (f(Interval(to)) - f(Interval(from))) / (Interval(to) - Interval(from));
        };
        if (std::abs(a.at.lower() - a.over.lower()) > close) {
            const Interval least = between(a.at.lower(), a.over.lower());
            result = {std::max(result.lower(), least.lower()), result.upper()};
        }
        if (std::abs(a.over.upper() - a.at.upper()) > close) {
            const Interval most = between(a.at.upper(), a.over.upper());
            result = {result.lower(), std::min(result.upper(), most.upper())};
        }
        return result;
    }
    static Interval exponential_slope(const Secant& a) {
        const Interval ends = exp(minimum(a.both(), exponential_knee));
        return rising_secants(a, ends, [](const Interval& x) { return limited_exponential(x); });
    }
};

}  // namespace gapwright
