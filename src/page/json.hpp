// JSON as the page's contract (web/src/contract.ts) has it.
#pragma once

#include <optional>
#include <string>

#include "page/refusal.hpp"
#include "report/json/ordered_json.hpp"
#include "service/exchange.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_edit.hpp"

namespace gapwright {

// As text; bytes that are not UTF-8 become U+FFFD.
std::string json_text(const Json& json);
// That text as the answer to what was asked.
Reply json_reply(const Json& json);

// A request's body as an object. Errors: no JSON, no object.
Answered<Json> json_object(const std::string& body);

// A key's text or number of an object; where it is missing or of another type, the other.
std::string text_in(const Json& object, const char* key, const std::string& otherwise = {});
double number_in(const Json& object, const char* key, double otherwise);

// Path of the contract, both ways. Nothing where it is no list of texts and whole numbers.
Json json_path(const TomlPath& path);
std::optional<TomlPath> toml_path(const Json& path);

// Problem[] of the contract. Places in texts of TOML are also told by path.
Json problem_list(const Problems& problems);

// Refusal of the contract.
Json refusal_view(const Refusal& refusal);

}  // namespace gapwright
