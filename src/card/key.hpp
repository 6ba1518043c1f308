// The keys of parts and cards as identities: a key that does not exist does not compile. Their
// texts are for files and people only.
#pragma once

#include <fmt/format.h>

#include <cstdint>
#include <string>
#include <string_view>

namespace gapwright {

// `intensity` is of circuits only: an emitter's radiant or luminous intensity per ampere.
enum class Key : std::uint8_t {
#define GAPWRIGHT_KEY(name) name,
#include "card/key_list.inc"
#undef GAPWRIGHT_KEY
};

// As files write it: "series_resistance".
std::string_view key_name(Key key);

// As sentences speak of it: "series resistance".
std::string spoken_key(Key key);

}  // namespace gapwright

template <>
struct fmt::formatter<gapwright::Key> : fmt::formatter<std::string_view> {
    template <class Context>
    auto format(gapwright::Key key, Context& context) const {
        return fmt::formatter<std::string_view>::format(gapwright::key_name(key), context);
    }
};
