#include "card/key.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <string>
#include <string_view>

namespace gapwright {
namespace {

constexpr auto names = std::to_array<std::string_view>({
#define GAPWRIGHT_KEY(name) #name,
#include "card/key_list.inc"
#undef GAPWRIGHT_KEY
});
// Problems are told in the order of the enumeration.
static_assert(std::ranges::is_sorted(names));

}  // namespace

std::string_view key_name(Key key) {
    return names[static_cast<std::size_t>(key)];
}

std::string spoken_key(Key key) {
    std::string words(key_name(key));
    std::ranges::replace(words, '_', ' ');
    return words;
}

}  // namespace gapwright
