// A number of which two bounds are known: with it the device laws enclose what they give for every
// figure and voltage inside bounds (Moore 1966).
//
// Every operation rounds outwards, so that the true result for any numbers inside the operands lies
// inside the result. Assumed: + − * / and the square root round correctly (IEC 60559, to nearest),
// exp, expm1, log, log1p, pow, tanh and cos of the C library are right to 4 units in the last place
// (from memory: glibc's manual tells at most 2 for these).
#pragma once

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace gapwright {

// The answer to a comparison of numbers that are only bounded.
enum class Truth : unsigned char { no, yes, undecided };

class Interval {
  public:
    Interval() = default;
    Interval(double exact) : lower_(exact), upper_(exact) {}  // NOLINT: a number bounds itself
    // Requires lower ≤ upper.
    Interval(double lower, double upper) : lower_(lower), upper_(upper) {}

    static Interval anything() { return {-infinity, infinity}; }

    double lower() const { return lower_; }
    double upper() const { return upper_; }
    double width() const { return upper_ - lower_; }
    // A number inside, about halfway.
    double middle() const { return std::clamp(0.5 * lower_ + 0.5 * upper_, lower_, upper_); }
    // The largest size of a number inside.
    double magnitude() const { return std::max(std::abs(lower_), std::abs(upper_)); }
    // Whether both bounds are numbers and finite.
    bool bounded() const { return std::isfinite(lower_) && std::isfinite(upper_); }
    // Whether it is zero and nothing else.
    bool nothing() const { return lower_ == 0 && upper_ == 0; }
    bool contains(double x) const { return lower_ <= x && x <= upper_; }
    // Whether the other lies inside and touches neither end.
    bool holds_inside(const Interval& a) const { return lower_ < a.lower_ && a.upper_ < upper_; }

    friend Interval hull(const Interval& a, const Interval& b) {
        return {std::min(a.lower_, b.lower_), std::max(a.upper_, b.upper_)};
    }
    // What lies in both. Requires that there be something; two enclosures of one number have it.
    friend Interval common(const Interval& a, const Interval& b) {
        return {std::max(a.lower_, b.lower_), std::min(a.upper_, b.upper_)};
    }

    friend Interval operator-(const Interval& a) { return {-a.upper_, -a.lower_}; }
    friend Interval operator+(const Interval& a, const Interval& b) {
        return sum(a.lower_ + b.lower_, a.upper_ + b.upper_);
    }
    friend Interval operator-(const Interval& a, const Interval& b) {
        return sum(a.lower_ - b.upper_, a.upper_ - b.lower_);
    }
    // Nothing times a number is nothing, however large the number may be.
    friend Interval operator*(const Interval& a, const Interval& b) {
        if (a.nothing() || b.nothing()) return {};
        return of_corners(a.lower_ * b.lower_, a.lower_ * b.upper_, a.upper_ * b.lower_,
                          a.upper_ * b.upper_);
    }
    friend Interval operator/(const Interval& a, const Interval& b) {
        if (!(b.lower_ > 0) && !(b.upper_ < 0)) return anything();
        if (a.nothing()) return {};
        return of_corners(a.lower_ / b.lower_, a.lower_ / b.upper_, a.upper_ / b.lower_,
                          a.upper_ / b.upper_);
    }

    friend Truth operator<(const Interval& a, const Interval& b) {
        if (a.upper_ < b.lower_) return Truth::yes;
        return a.lower_ >= b.upper_ ? Truth::no : Truth::undecided;
    }
    friend Truth operator>(const Interval& a, const Interval& b) { return b < a; }
    // `a` or `b` as the condition says; both, where it is undecided.
    friend Interval choose(Truth condition, const Interval& a, const Interval& b) {
        if (condition == Truth::undecided) return hull(a, b);
        return condition == Truth::yes ? a : b;
    }
    friend Interval minimum(const Interval& a, const Interval& b) {
        return {std::min(a.lower_, b.lower_), std::min(a.upper_, b.upper_)};
    }
    friend Interval maximum(const Interval& a, const Interval& b) {
        return {std::max(a.lower_, b.lower_), std::max(a.upper_, b.upper_)};
    }

    friend Interval exp(const Interval& a) {
        const Interval e = loose(std::exp(a.lower_), std::exp(a.upper_));
        return {std::max(e.lower_, 0.0), e.upper_};
    }
    friend Interval expm1(const Interval& a) {
        const Interval e = loose(std::expm1(a.lower_), std::expm1(a.upper_));
        return {std::max(e.lower_, -1.0), e.upper_};
    }
    friend Interval tanh(const Interval& a) {
        const Interval t = loose(std::tanh(a.lower_), std::tanh(a.upper_));
        return {std::max(t.lower_, -1.0), std::min(t.upper_, 1.0)};
    }
    // Of what lies in the domain of the function; anything where nothing does.
    friend Interval log(const Interval& a) {
        if (!(a.upper_ > 0)) return anything();
        return loose(a.lower_ > 0 ? std::log(a.lower_) : -infinity, std::log(a.upper_));
    }
    friend Interval log1p(const Interval& a) {
        if (!(a.upper_ > -1)) return anything();
        return loose(a.lower_ > -1 ? std::log1p(a.lower_) : -infinity, std::log1p(a.upper_));
    }
    friend Interval sqrt(const Interval& a) {
        if (!(a.upper_ >= 0)) return anything();
        const Interval root = outward(std::sqrt(std::max(a.lower_, 0.0)), std::sqrt(a.upper_));
        return {std::max(root.lower_, 0.0), root.upper_};
    }
    // For a base from zero. Monotone in each of the two alone: its bounds are at corners.
    friend Interval pow(const Interval& a, const Interval& b) {
        if (!(a.upper_ >= 0)) return anything();
        const double least = std::max(a.lower_, 0.0);
        const double corners[] = {std::pow(least, b.lower_), std::pow(least, b.upper_),
                                  std::pow(a.upper_, b.lower_), std::pow(a.upper_, b.upper_)};
        if (!std::isfinite(corners[0] + corners[1] + corners[2] + corners[3])) return anything();
        const auto [low, high] = std::minmax({corners[0], corners[1], corners[2], corners[3]});
        return {std::max(loose(low, high).lower_, 0.0), loose(low, high).upper_};
    }
    // Exact bounds from −π to π, else all that a cosine may be.
    friend Interval cos(const Interval& a) {
        constexpr double half_turn = 3.14159265358979;  // below π
        if (!(a.lower_ >= -half_turn && a.upper_ <= half_turn)) return {-1.0, 1.0};
        const double least =
            a.lower_ <= 0 && a.upper_ >= 0 ? 0.0 : std::min(std::abs(a.lower_), std::abs(a.upper_));
        const Interval c = loose(std::cos(a.magnitude()), std::cos(least));
        return {std::max(c.lower_, -1.0), std::min(c.upper_, 1.0)};
    }
    friend Interval sin(const Interval& a) {
        return cos(a - outward(std::numbers::pi / 2, std::numbers::pi / 2));
    }

  private:
    static constexpr double infinity = std::numeric_limits<double>::infinity();
    // More than one unit in the last place of any number, as a share of it.
    static constexpr double unit = std::numeric_limits<double>::epsilon();
    // What is added besides, for results that underflow: below anything that a circuit knows, yet
    // so large that its square is no subnormal number, with which processors are slow.
    static constexpr double smallest = 1e-140;

    // Bounds of a sum, which is exact where it underflows.
    static Interval sum(double lower, double upper) {
        return sound({lower - std::abs(lower) * unit, upper + std::abs(upper) * unit});
    }
    // Bounds whose last rounding is off by half a unit in the last place at most.
    static Interval outward(double lower, double upper) {
        return sound({lower - (std::abs(lower) * unit + smallest),
                      upper + (std::abs(upper) * unit + smallest)});
    }
    // Bounds from the C library's functions.
    static Interval loose(double lower, double upper) {
        return sound({lower - (std::abs(lower) * (5 * unit) + smallest),
                      upper + (std::abs(upper) * (5 * unit) + smallest)});
    }
    // Bounds that are no numbers bound nothing.
    static Interval sound(const Interval& a) { return a.lower_ <= a.upper_ ? a : anything(); }
    // Between the smallest and the largest of four; anything, where one is no finite number.
    static Interval of_corners(double a, double b, double c, double d) {
        if (!std::isfinite(a + b + c + d)) return anything();
        return outward(std::min(std::min(a, b), std::min(c, d)),
                       std::max(std::max(a, b), std::max(c, d)));
    }

    double lower_ = 0;
    double upper_ = 0;
};

}  // namespace gapwright
