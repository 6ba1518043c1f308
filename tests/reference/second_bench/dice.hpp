// Chance of the second bench: the same seed, the same throws on every machine.
#pragma once

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <random>

namespace gapwright::reference {

class Dice {
  public:
    explicit Dice(std::uint64_t seed) : engine_(seed) {}

    // 0 … 1, all 53 bits: the library's own distributions differ from one to another.
    double share() { return static_cast<double>(engine_() >> 11U) * 0x1p-53; }
    double between(double low, double high) { return low + (high - low) * share(); }
    // Evenly in the logarithm.
    double decades(double low, double high) { return low * std::pow(high / low, share()); }
    bool happens(double chance) { return share() < chance; }
    std::size_t below(std::size_t count) {
        return static_cast<std::size_t>(share() * static_cast<double>(count));
    }
    std::uint64_t seed() { return engine_(); }

  private:
    std::mt19937_64 engine_;
};

}  // namespace gapwright::reference
