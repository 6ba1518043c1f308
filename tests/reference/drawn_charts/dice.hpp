// Chance from a fixed seed, the same with every compiler: a style and a number make a chart.
#pragma once

#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>
#include <string_view>

namespace gapwright::drawn_charts {

class Dice {
  public:
    Dice(std::string_view name, int number) : engine_(seed(name, number)) {}

    double between(double low, double high) {
        return low + (high - low) * static_cast<double>(engine_() >> 11U) * 0x1p-53;
    }
    int below(int end) { return static_cast<int>(between(0, end)); }
    double normal(double deviation) {  // Box and Muller
        const double radius = std::sqrt(-2 * std::log(between(1e-12, 1)));
        return deviation * radius * std::cos(2 * std::numbers::pi * between(0, 1));
    }

  private:
    static std::uint64_t seed(std::string_view name, int number) {  // Fowler, Noll and Vo
        std::uint64_t hash = 0xcbf29ce484222325U;
        for (const char letter : name) {
            hash = (hash ^ static_cast<unsigned char>(letter)) * 0x100000001b3U;
        }
        return (hash ^ static_cast<std::uint64_t>(number)) * 0x100000001b3U;
    }

    std::mt19937_64 engine_;
};

}  // namespace gapwright::drawn_charts
