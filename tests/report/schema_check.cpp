#include "schema_check.hpp"

#include <algorithm>
#include <stdexcept>

namespace gapwright::testing_support {
namespace {

using nlohmann::json;

bool is_of(const std::string& type, const json& value) {
    if (type == "object") return value.is_object();
    if (type == "array") return value.is_array();
    if (type == "string") return value.is_string();
    if (type == "integer") return value.is_number_integer();
    if (type == "number") return value.is_number();
    throw std::logic_error("a type that is not known here: " + type);
}

class Check {
  public:
    explicit Check(const json& root) : root_(root) {}

    // The first fault, or "".
    std::string fault(const json& schema, const json& value, const std::string& at) const {
        if (schema.is_boolean()) return schema.get<bool>() ? "" : at + " is none of the keys";
        for (const auto& [keyword, rule] : schema.items()) {
            const std::string found = fault(schema, keyword, rule, value, at);
            if (!found.empty()) return found;
        }
        return "";
    }

  private:
    bool holds(const json& schema, const json& value) const {
        return fault(schema, value, "").empty();
    }

    std::string fault(const json& schema, const std::string& keyword, const json& rule,
                      const json& value, const std::string& at) const {
        const auto unless = [&](bool good, const std::string& what) {
            return good ? std::string() : at + " " + what;
        };
        for (const char* said : {"$schema", "$defs", "title", "description", "examples", "then"}) {
            if (keyword == said) return "";
        }
        if (keyword == "$ref") {
            return fault(root_.at(json::json_pointer(rule.get<std::string>().substr(1))), value,
                         at);
        }
        if (keyword == "type") {
            const json types = rule.is_array() ? rule : json::array({rule});
            return unless(
                std::ranges::any_of(types, [&](const json& t) { return is_of(t, value); }),
                "is not of type " + rule.dump());
        }
        if (keyword == "enum") {
            return unless(std::ranges::find(rule, value) != rule.end(),
                          "is none of " + rule.dump());
        }
        if (keyword == "not") return unless(!holds(rule, value), "is what it must not be");
        if (keyword == "if") {
            return holds(rule, value) ? fault(schema.at("then"), value, at) : "";
        }
        if (keyword == "anyOf") {
            std::string all;
            for (const json& one : rule) {
                const std::string found = fault(one, value, at);
                if (found.empty()) return "";
                all += (all.empty() ? "" : " | ") + found;
            }
            return all;
        }
        if (keyword == "allOf") {
            for (const json& one : rule) {
                if (const auto found = fault(one, value, at); !found.empty()) return found;
            }
            return "";
        }
        if (keyword == "minimum")
            return unless(!value.is_number() || value >= rule, "is too small");
        if (keyword == "maximum")
            return unless(!value.is_number() || value <= rule, "is too large");
        if (keyword == "minItems" || keyword == "maxItems") {
            const bool least = keyword == "minItems";
            const auto size = value.size();
            const auto bound = rule.get<std::size_t>();
            return unless(!value.is_array() || (least ? size >= bound : size <= bound),
                          "has so many items: " + std::to_string(size));
        }
        if (keyword == "items") {
            for (std::size_t k = 0; value.is_array() && k < value.size(); ++k) {
                const auto found = fault(rule, value[k], at + "/" + std::to_string(k));
                if (!found.empty()) return found;
            }
            return "";
        }
        if (keyword == "required") {
            for (const json& key : rule) {
                if (value.is_object() && !value.contains(key.get<std::string>())) {
                    return at + " lacks " + key.get<std::string>();
                }
            }
            return "";
        }
        if (keyword == "properties" || keyword == "additionalProperties") {
            const json none = json::object();
            const json& known = schema.contains("properties") ? schema["properties"] : none;
            for (const auto& [key, inner] : value.is_object() ? value.items() : none.items()) {
                const bool is_known = known.contains(key);
                if (is_known != (keyword == "properties")) continue;
                const auto found = fault(is_known ? known[key] : rule, inner, at + "/" + key);
                if (!found.empty()) return found;
            }
            return "";
        }
        throw std::logic_error("a keyword that is not known here: " + keyword);
    }

    const json& root_;
};

}  // namespace

std::string schema_fault(const nlohmann::json& schema, const nlohmann::json& value) {
    return Check(schema).fault(schema, value, "");
}

}  // namespace gapwright::testing_support
