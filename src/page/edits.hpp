// Edits that the page asks for, on a text.
#pragma once

#include <string>

#include "page/refusal.hpp"
#include "page/typed_value.hpp"
#include "report/json/ordered_json.hpp"
#include "source/toml_document.hpp"

namespace gapwright {

// The text after the edits (Edit[] of the contract), one after the other, and what they do in
// words: "R1 value: 330 Ω to 1 kΩ". Quantities are written as files write them, however they were
// typed (typed_value.hpp). Errors: 400 for what is no edit, 422 for one that the text does not
// allow or that can be read in two ways; not_toml where a text cannot be read.
struct EditedText {
    std::string text;
    std::string words;
};
Answered<EditedText> apply_edits(const std::string& text, const Json& edits,
                                 const FileContext& file);

// A value as a person would type it: without quotes, names of a list with commas between them.
std::string typed_text(const TomlValue& value);

}  // namespace gapwright
