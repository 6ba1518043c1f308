#include "source/toml_check.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright {
namespace {

// The offset behind the string that begins at `at` with its quote, or of the line's end where a
// string of one line is never closed.
std::size_t string_end(std::string_view text, std::size_t at) {
    const char quote = text[at];
    const std::string three(3, quote);
    const bool triple = text.substr(at, 3) == three;
    at += triple ? 3 : 1;
    while (at < text.size()) {
        if (text[at] == '\\' && quote == '"') {
            at += 2;
        } else if (triple && text.substr(at, 3) == three) {
            at += 3;
            // Up to two quotes may stand before the closing three.
            for (int k = 0; k < 2 && at < text.size() && text[at] == quote; ++k) ++at;
            return at;
        } else if (!triple && (text[at] == quote || text[at] == '\n')) {
            return at + 1;
        } else {
            ++at;
        }
    }
    return text.size();
}

}  // namespace

std::optional<Diagnostic> find_deep_key(const std::shared_ptr<const SourceText>& source) {
    constexpr std::string_view ends_of_key = "=,[]{}\n";
    const std::string_view text = source->text();
    std::size_t parts = 1;
    for (std::size_t at = 0; at < text.size();) {
        const char c = text[at];
        if (c == '#') {
            at = std::min(text.find('\n', at), text.size());
        } else if (c == '"' || c == '\'') {
            at = string_end(text, at);
        } else {
            if (ends_of_key.find(c) != std::string_view::npos) parts = 1;
            if (c == '.' && ++parts > most_key_parts) {
                return Diagnostic{
                    .cause = Cause::not_toml,
                    .place = {.text = source, .begin = at, .end = at + 1},
                    .message = fmt::format("a key has more than {} parts here", most_key_parts),
                    .remedy = {}};
            }
            ++at;
        }
    }
    return std::nullopt;
}

}  // namespace gapwright
