// Whether a JSON value is what a schema asks for: the keywords of JSON Schema (draft 2020-12) that
// the program's schema uses, and a failure of the test for any other.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

namespace gapwright::testing_support {

// What is wrong with it, with the place, "/parts/R1/valve is none of the keys"; empty where nothing
// is.
std::string schema_fault(const nlohmann::json& schema, const nlohmann::json& value);

}  // namespace gapwright::testing_support
