// What a search for values is after.
#pragma once

#include <cstdint>

namespace gapwright {

enum class Aim : std::uint8_t {
    // What an experienced hand takes: every asked reserve kept; then least wanting to plenty; then
    // good practice; then fewer parts; then less current. Compared on grids that a person would
    // call the same (docs/method.md, Design: values).
    first_choice,
    most_reserve,   // the greatest least reserve; then fewer parts; then less current
    least_current,  // of those with every asked reserve: good practice; then the least current
};

}  // namespace gapwright
