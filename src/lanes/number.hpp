// A lane number: the same quantity of several specimens, one a lane.
//
// `Arch` is one of xsimd's instruction sets. A lane number takes several registers of it, so that
// while one waits for its result the processor works on the next, and each step of a solver does
// more for the looking it up. With this type the device laws solve as many specimens at once as
// there are lanes; Dual<Lanes> gives their derivatives.
#pragma once

#include <cmath>
#include <cstddef>
#include <limits>
#include <xsimd/xsimd.hpp>

#include "device/number.hpp"

namespace gapwright {

// As measured (docs/performance.md): the sixteen registers of SSE2 and AVX2 hold no more of two.
template <class Arch>
inline constexpr std::size_t registers_of = 2;

template <>
inline constexpr std::size_t registers_of<xsimd::avx512bw> = 4;

template <class Arch>
struct Lanes {
    using Register = xsimd::batch<double, Arch>;
    using RegisterMask = typename Register::batch_bool_type;
    static constexpr std::size_t count = registers_of<Arch>;
    static constexpr std::size_t width = count * Register::size;

    // For each lane yes or no.
    struct Mask {
        RegisterMask registers[count];

        Mask() = default;
        explicit Mask(bool same) {
            for (auto& r : registers) r = RegisterMask(same);
        }
        friend Mask operator&(const Mask& a, const Mask& b) {
            Mask m;
            for (std::size_t k = 0; k < count; ++k)
                m.registers[k] = a.registers[k] & b.registers[k];
            return m;
        }
        friend Mask operator|(const Mask& a, const Mask& b) {
            Mask m;
            for (std::size_t k = 0; k < count; ++k)
                m.registers[k] = a.registers[k] | b.registers[k];
            return m;
        }
        friend Mask operator!(const Mask& a) {
            Mask m;
            for (std::size_t k = 0; k < count; ++k) m.registers[k] = !a.registers[k];
            return m;
        }
        friend bool any(const Mask& a) {
            RegisterMask together = a.registers[0];
            for (std::size_t k = 1; k < count; ++k) together = together | a.registers[k];
            return xsimd::any(together);
        }
        friend bool all(const Mask& a) {
            RegisterMask together = a.registers[0];
            for (std::size_t k = 1; k < count; ++k) together = together & a.registers[k];
            return xsimd::all(together);
        }
    };

    Register registers[count];

    Lanes() = default;
    Lanes(double same) {  // NOLINT: a constant is the same in every lane
        for (auto& r : registers) r = Register(same);
    }

    // `aligned` on a boundary of a register's size.
    static Lanes load(const double* aligned) {
        return each(
            [&](std::size_t k) { return Register::load_aligned(aligned + k * Register::size); });
    }
    void store(double* aligned) const {
        for (std::size_t k = 0; k < count; ++k) {
            registers[k].store_aligned(aligned + k * Register::size);
        }
    }

    friend Lanes operator-(const Lanes& a) {
        return each([&](std::size_t k) { return -a.registers[k]; });
    }
    friend Lanes operator+(const Lanes& a, const Lanes& b) {
        return each([&](std::size_t k) { return a.registers[k] + b.registers[k]; });
    }
    friend Lanes operator-(const Lanes& a, const Lanes& b) {
        return each([&](std::size_t k) { return a.registers[k] - b.registers[k]; });
    }
    friend Lanes operator*(const Lanes& a, const Lanes& b) {
        return each([&](std::size_t k) { return a.registers[k] * b.registers[k]; });
    }
    friend Lanes operator/(const Lanes& a, const Lanes& b) {
        return each([&](std::size_t k) { return a.registers[k] / b.registers[k]; });
    }
    // a − b·c, fused where the instruction set can.
    friend Lanes minus_product(const Lanes& a, const Lanes& b, const Lanes& c) {
        return each([&](std::size_t k) {
            return xsimd::fnma(b.registers[k], c.registers[k], a.registers[k]);
        });
    }

    friend Mask operator<(const Lanes& a, const Lanes& b) {
        return compare([&](std::size_t k) { return a.registers[k] < b.registers[k]; });
    }
    friend Mask operator>(const Lanes& a, const Lanes& b) {
        return compare([&](std::size_t k) { return a.registers[k] > b.registers[k]; });
    }
    // No where either is not a number.
    friend Mask operator<=(const Lanes& a, const Lanes& b) {
        return compare([&](std::size_t k) { return a.registers[k] <= b.registers[k]; });
    }

    friend Lanes exp(const Lanes& a) {
        return each([&](std::size_t k) { return xsimd::exp(a.registers[k]); });
    }
    friend Lanes expm1(const Lanes& a) {
        return each([&](std::size_t k) { return xsimd::expm1(a.registers[k]); });
    }
    friend Lanes log(const Lanes& a) {
        return each([&](std::size_t k) { return xsimd::log(a.registers[k]); });
    }
    friend Lanes log1p(const Lanes& a) {
        return each([&](std::size_t k) { return xsimd::log1p(a.registers[k]); });
    }
    friend Lanes sqrt(const Lanes& a) {
        return each([&](std::size_t k) { return xsimd::sqrt(a.registers[k]); });
    }
    friend Lanes tanh(const Lanes& a) {
        return each([&](std::size_t k) { return xsimd::tanh(a.registers[k]); });
    }
    friend Lanes abs(const Lanes& a) {
        return each([&](std::size_t k) { return xsimd::abs(a.registers[k]); });
    }
    // Lane by lane: the library's own leaves code behind that is not bound to the instruction set,
    // and angles are needed only once a specimen.
    friend Lanes cos(const Lanes& a) {
        alignas(64) double lanes[width];
        a.store(lanes);
        for (double& x : lanes) x = std::cos(x);
        return load(lanes);
    }
    // The library's own gives 0 for any power of zero.
    friend Lanes pow(const Lanes& a, const Lanes& b) {
        const Lanes power =
            each([&](std::size_t k) { return xsimd::pow(a.registers[k], b.registers[k]); });
        constexpr double infinity = std::numeric_limits<double>::infinity();
        const Lanes of_zero =
            choose(b > Lanes(0.0), Lanes(0.0), choose(b < Lanes(0.0), Lanes(infinity), Lanes(1.0)));
        return choose(abs(a) <= Lanes(0.0), of_zero, power);
    }
    // `a` where the mask says yes, else `b`.
    friend Lanes choose(const Mask& yes, const Lanes& a, const Lanes& b) {
        return each([&](std::size_t k) {
            return xsimd::select(yes.registers[k], a.registers[k], b.registers[k]);
        });
    }
    friend Lanes minimum(const Lanes& a, const Lanes& b) {
        return each([&](std::size_t k) { return xsimd::min(a.registers[k], b.registers[k]); });
    }
    friend Lanes maximum(const Lanes& a, const Lanes& b) {
        return each([&](std::size_t k) { return xsimd::max(a.registers[k], b.registers[k]); });
    }

  private:
    template <class Work>
    static Lanes each(const Work& work) {
        Lanes result;
        for (std::size_t k = 0; k < count; ++k) result.registers[k] = work(k);
        return result;
    }
    template <class Work>
    static Mask compare(const Work& work) {
        Mask result;
        for (std::size_t k = 0; k < count; ++k) result.registers[k] = work(k);
        return result;
    }
};

}  // namespace gapwright
