// What the tests of lanes share: numbers into lanes and out again, ranges of arguments, comparison.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <random>
#include <string>
#include <vector>
#include "device/dual.hpp"
#include "device/junction.hpp"
#include "device/leakage.hpp"
#include "device/light.hpp"
#include "device/mosfet.hpp"
#include "device/transistor.hpp"
#include "lanes/number.hpp"

namespace gapwright::lane_support {

// The one instruction set that every processor for which this test is compiled has.
using L = Lanes<xsimd::sse2>;
using Row = std::array<double, L::width>;
using Pair = std::array<double, 2>;
using DualDouble = Dual<double, 2>;
using DualLanes = Dual<L, 2>;

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr double no_number = std::numeric_limits<double>::quiet_NaN();

inline L row_of(const Row& numbers) {
    alignas(64) Row aligned = numbers;
    return L::load(aligned.data());
}
inline Row row(const L& a) {
    alignas(64) Row result;
    a.store(result.data());
    return result;
}

// Two numbers in turn in all lanes.
inline L lanes(const Pair& numbers) {
    Row repeated;
    for (std::size_t i = 0; i < L::width; ++i) repeated[i] = numbers[i % 2];
    return row_of(repeated);
}
// Those two again; they must be the same in all lanes.
inline Pair numbers(const L& a) {
    const Row all = row(a);
    for (std::size_t i = 2; i < L::width; ++i) {
        EXPECT_TRUE(all[i] == all[i % 2] || (std::isnan(all[i]) && std::isnan(all[i % 2])))
            << all[i] << ", " << all[i % 2];
    }
    return {all[0], all[1]};
}

// Where a condition holds: of the two kinds of lanes that lanes() makes.
inline std::array<bool, 2> holds(const L::Mask& condition) {
    const Pair chosen = numbers(choose(condition, L(1.0), L(0.0)));
    return {chosen[0] == 1, chosen[1] == 1};
}

// Within `share` of the expected size; infinities, zeros and NaN exactly.
inline void expect_same(double actual, double expected, double share, const std::string& what) {
    if (std::isnan(expected)) {
        EXPECT_TRUE(std::isnan(actual)) << what << ": " << actual;
    } else if (std::isinf(expected) || expected == 0) {
        EXPECT_EQ(actual, expected) << what;
    } else {
        EXPECT_NEAR(actual, expected, share * std::abs(expected)) << what;
    }
}

// Compares a function on neighbouring arguments, so that every argument stands in every lane, next
// to others.
template <class OfLanes, class OfDouble>
inline void expect_like_library(const std::string& name, const std::vector<double>& arguments,
                                OfLanes of_lanes, OfDouble of_double) {
    for (std::size_t k = 0; k < arguments.size(); ++k) {
        Row x;
        for (std::size_t i = 0; i < L::width; ++i) x[i] = arguments[(k + i) % arguments.size()];
        const Row y = row(of_lanes(row_of(x)));
        for (std::size_t i = 0; i < L::width; ++i) {
            expect_same(y[i], of_double(x[i]), 1e-14, name + "(" + std::to_string(x[i]) + ")");
        }
    }
}

// From `low` to `high`, evenly.
inline std::vector<double> evenly(double low, double high, int count) {
    std::vector<double> result;
    for (int k = 0; k <= count; ++k) result.push_back(low + (high - low) * k / count);
    return result;
}
// Decades from 10^low to 10^high, of both signs if asked.
inline std::vector<double> decades(int low, int high, bool both_signs) {
    std::vector<double> result;
    for (int e = low; e <= high; ++e) {
        for (const double m : {1.0, 1.7, 3.1415926535, 6.6}) {
            result.push_back(m * std::pow(10.0, e));
            if (both_signs) result.push_back(-result.back());
        }
    }
    return result;
}
inline std::vector<double> both(std::vector<double> a, const std::vector<double>& b) {
    a.insert(a.end(), b.begin(), b.end());
    return a;
}

}  // namespace gapwright::lane_support
