// The method in time: singly diagonally implicit Runge–Kutta, L-stable, stiffly accurate, five
// stages of order 4 with an embedded method of order 3 (Hairer & Wanner, Solving Ordinary
// Differential Equations II, 2nd ed. 1996, table IV.6.5). Its stages need no slope at the
// beginning, so that what jumps needs no start of its own: charges and fluxes are all that a step
// takes over.
#pragma once

#include <cstddef>

namespace gapwright::one_step {

// Tables are not inline: kernels may leave nothing behind that other code could share.

inline constexpr std::size_t stages = 5;
inline constexpr double diagonal = 0.25;  // γ
constexpr double at[stages] = {0.25, 0.75, 11.0 / 20, 0.5, 1.0};
constexpr double weights[stages][stages] = {
    {0.25, 0, 0, 0, 0},
    {0.5, 0.25, 0, 0, 0},
    {17.0 / 50, -1.0 / 25, 0.25, 0, 0},
    {371.0 / 1360, -137.0 / 2720, 15.0 / 544, 0.25, 0},
    {25.0 / 24, -49.0 / 48, 125.0 / 16, -85.0 / 12, 0.25},
};
// The last stage is the result; less the embedded method's weights.
constexpr double error[stages] = {25.0 / 24 - 59.0 / 48, -49.0 / 48 + 17.0 / 96,
                                  125.0 / 16 - 225.0 / 32, 0, 0.25};
// Where a stage's iteration begins: on the line or parabola through the step's beginning and the
// stages before; of the first stage the step before says it.
constexpr double guesses[stages][stages] = {
    // the beginning, then stages
    {1, 0, 0, 0, 0},           {-2, 3, 0, 0, 0},
    {-0.32, 0.88, 0.44, 0, 0}, {0, 1.0 / 12, -0.125, 1.25 / 1.2, 0},
    {0, 0, 2, 0, -1},
};
inline constexpr double error_order =
    4;  // how the embedded method's local error grows with the step

}  // namespace gapwright::one_step
