// A line of JSON as edits that the page asks for, and what follows it as the text that they are
// about: refused with words, or a text that can be read if the one before could.
#include <algorithm>
#include <cstdint>
#include <cstdlib>

#include "page/edits.hpp"
#include "page/json.hpp"

namespace {

bool is_toml(const std::string& text) {
    using namespace gapwright;
    return read_toml(std::make_shared<const SourceText>("fuzz.link.toml", text)).has_value();
}

// Texts that are taken as they are, so that what they make of the file is the writer's own.
bool writes_toml(const gapwright::Json& edits) {
    return std::ranges::any_of(edits, [](const gapwright::Json& edit) {
        if (!edit.is_object() || edit.contains("whole")) return true;
        const std::string typed = gapwright::text_in(edit, "text");
        return typed.find_first_of("[{") != std::string::npos || edit.contains("append");
    });
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace gapwright;
    const std::string all(reinterpret_cast<const char*>(data), size);
    const std::size_t line = std::min(all.find('\n'), all.size());
    const Json edits = Json::parse(all.substr(0, line), nullptr, false);
    const std::string text = all.substr(std::min(line + 1, all.size()));
    const auto result = apply_edits(text, edits, "");
    if (!result) {
        if (result.error().error.empty() || json_text(refusal_view(result.error())).empty()) {
            std::abort();
        }
        return 0;
    }
    if (is_toml(text) && !writes_toml(edits) && !is_toml(result->text)) std::abort();
    return 0;
}
