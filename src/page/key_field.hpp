// One value of a file as a field of a form: Field of the contract.
#pragma once

#include <cstdint>
#include <string>

#include "card/description.hpp"
#include "card/part_kind.hpp"
#include "report/json/ordered_json.hpp"
#include "source/toml_document.hpp"
#include "source/toml_edit.hpp"

namespace gapwright {

// A field in which nothing stands. Without a label it is called what its key is called.
Json blank_field(const TomlPath& at, const std::string& key, const std::string& label = {});

// Where a key that nothing states is to be written: in the part's or card's table itself, as links
// do, or in its group's, as cards do.
enum class NewKeys : std::uint8_t { flat, grouped };

// Where a key stands in the table of a part or card, by its name or alias, flat or in its group.
// `value` is null where it does not; `at` is then where it would be written.
struct KeyStanding {
    TomlPath at;
    const TomlValue* value = nullptr;
};
KeyStanding standing_of(const TomlTable& table, const TomlPath& around, const KeyRule& rule,
                        NewKeys places);

// The field of a key with what stands there; else with what `known` has for it: from another card,
// where there is one, or assumed.
Json key_field(const KeyRule& rule, const KeyStanding& standing, const Description& known,
               bool from_card);

}  // namespace gapwright
