#include "card/key.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace gapwright {
namespace {

constexpr auto names = std::to_array<std::string_view>({
#define GAPWRIGHT_KEY(name) #name,
#include "card/key_list.inc"
#undef GAPWRIGHT_KEY
});
static_assert(names.size() == key_count);

}  // namespace

std::string_view key_name(Key key) {
    return names[static_cast<std::size_t>(key)];
}

std::string spoken_key(Key key) {
    std::string words(key_name(key));
    std::ranges::replace(words, '_', ' ');
    return words;
}

std::optional<Key> key_named(std::string_view name) {
    const auto found = std::ranges::find(names, name);
    if (found == names.end()) return std::nullopt;
    return static_cast<Key>(found - names.begin());
}

}  // namespace gapwright
