// How many drawn cases a test looks at: the fewer in ./test, all of them in scripts/test-long,
// which sets GAPWRIGHT_ALL_CASES. Each test says both numbers in one place.
#pragma once

#include <cstdlib>

namespace gapwright::testing_support {

inline bool looks_at_all_cases() {
    static const bool all = std::getenv("GAPWRIGHT_ALL_CASES") != nullptr;
    return all;
}

template <class Value>
Value how_many(Value few, Value all) {
    return looks_at_all_cases() ? all : few;
}

}  // namespace gapwright::testing_support
