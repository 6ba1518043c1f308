#include "source/text_check.hpp"

#include <fmt/format.h>
#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/utf8.hpp"

namespace gapwright {

std::optional<Diagnostic> find_unreadable(const std::shared_ptr<const SourceText>& text) {
    const std::string_view bytes = text->text();
    if (bytes.size() > largest_text) return oversized(text->name(), bytes.size(), largest_text);
    const std::size_t at = find_invalid_utf8(bytes);
    if (at == std::string_view::npos) return std::nullopt;
    return Diagnostic{.cause = Cause::invalid_utf8,
                      .place = {.text = text, .begin = at, .end = at + 1},
                      .message = fmt::format("byte 0x{:02X} is not UTF-8 here",
                                             static_cast<unsigned char>(bytes[at])),
                      .remedy = "save the file as UTF-8"};
}

Diagnostic oversized(const std::string& name, std::size_t size, std::size_t limit) {
    return {.cause = Cause::oversized_file,
            .place = {},
            .message =
                fmt::format("{} has {} bytes, more than the {} that are read", name, size, limit),
            .remedy = {}};
}

}  // namespace gapwright
