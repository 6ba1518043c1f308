// The kinds that what drives a link and what it switches may be, as a need calls them.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "card/part_kind.hpp"

namespace gapwright {

struct Role {
    Kind kind;
    std::string_view example;    // its table, complete
    std::string_view word = {};  // of `kind` in need.drive or need.load
};
std::span<const Role> drive_roles();
std::span<const Role> load_roles();

// The keys of all kinds of these roles, each once.
std::vector<const KeyRule*> role_keys(std::span<const Role> roles);

// "coil, indicator, logic input, load".
std::string role_words(std::span<const Role> roles);

// The role of what people call `word`; nullptr where that has none.
const Role* role_meant(std::string_view word, std::span<const Role> roles);

// What is told of a kind that has none of the roles. `key` is "drive" or "load".
struct RefusedRole {
    std::string message;
    std::string remedy;
};
RefusedRole refused_role(const std::string& word, std::string_view key,
                         std::span<const Role> roles);

}  // namespace gapwright
