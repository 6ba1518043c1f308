// Which keys of a link file the page's forms show, with an example of each: one table a form.
// docs/files.md says what the keys mean.
#pragma once

#include <span>
#include <string_view>
#include <utility>

namespace gapwright {

struct FormKey {
    std::string_view key;
    std::string_view example;
    std::string_view words = {};  // of a choice: "driven|idle"
    std::string_view label = {};  // where the key says too little
    bool always = true;           // false: shown only where the file states it
};

std::span<const FormKey> surroundings_form();
std::span<const FormKey> promise_form();
std::span<const FormKey> need_form();
// Of need.drive and need.load: what any of their kinds may state.
std::span<const FormKey> need_part_form(std::string_view which);
std::span<const FormKey> choose_form();
// Tables that a link may have, [signal] and others, shown where it has them.
std::span<const std::pair<std::string_view, std::span<const FormKey>>> optional_tables();

}  // namespace gapwright
