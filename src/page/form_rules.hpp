// Which keys of a link file the page's forms show, with an example of each: one table a form.
// docs/files.md says what the keys mean.
#pragma once

#include <span>
#include <string_view>
#include <utility>

#include "units/dimension.hpp"

namespace gapwright {

// What a key takes besides words.
struct Takes {
    enum class What { words, quantity, bound, number };  // bound: in the unit of its promise
    What what = What::words;
    Dimension dimension = Dimension::ratio;  // of a quantity
    bool percent = false;                    // WantedQuantity::percent

    static constexpr Takes quantity(Dimension dimension) {
        return {.what = What::quantity, .dimension = dimension};
    }
    static constexpr Takes share() { return {.what = What::quantity, .percent = true}; }
    static constexpr Takes bound() { return {.what = What::bound}; }
    static constexpr Takes number() { return {.what = What::number}; }
};

struct FormKey {
    std::string_view key;
    std::string_view example;
    Takes takes = {};
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
