// Why a request of the page is not met.
#pragma once

#include <expected>
#include <string>
#include <utility>

#include "source/diagnostics.hpp"

namespace gapwright {

struct Refusal {
    int status = 400;         // of HTTP
    std::string error;        // a sentence: what is wrong
    std::string remedy = {};  // what would be right; may be empty
    Problems problems = {};   // of a text, where it is one
};

template <class T>
using Answered = std::expected<T, Refusal>;

inline std::unexpected<Refusal> refused(int status, std::string error, std::string remedy = {}) {
    return std::unexpected(Refusal{status, std::move(error), std::move(remedy), {}});
}
inline std::unexpected<Refusal> refused(std::string error, const Problems& problems) {
    return std::unexpected(Refusal{422, std::move(error), {}, problems});
}

}  // namespace gapwright
