#include "source/terminal_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <string>
#include <string_view>

#include "source/harmful.hpp"
#include "source/utf8.hpp"

namespace gapwright {
namespace {

constexpr std::string_view mark_begin("\xFF\0", 2);
constexpr std::size_t mark_size = 3;
constexpr char end_of_emphasis = '0';

struct Mark {
    char letter;
    std::string_view colour;
};
constexpr std::array marks = {
    Mark{'g', "\x1b[32m"},
    Mark{'y', "\x1b[33m"},
    Mark{'r', "\x1b[31m"},
    Mark{'b', "\x1b[1m"},
    Mark{end_of_emphasis, "\x1b[0m"},
};

char letter_of(Emphasis how) {
    switch (how) {
        case Emphasis::good:
            return 'g';
        case Emphasis::doubtful:
            return 'y';
        case Emphasis::bad:
            return 'r';
        case Emphasis::heading:
            break;
    }
    return 'b';
}

std::string mark_of(char letter) {
    return std::string(mark_begin) + letter;
}

// The mark that begins at byte `at`, if one does.
const Mark* mark_at(std::string_view text, std::size_t at) {
    if (!text.substr(at).starts_with(mark_begin) || at + mark_size > text.size()) return nullptr;
    const auto* found = std::ranges::find(marks, text[at + mark_size - 1], &Mark::letter);
    return found == marks.end() ? nullptr : found;
}

}  // namespace

std::string emphasised(std::string_view text, Emphasis how) {
    return mark_of(letter_of(how)) + std::string(text) + mark_of(end_of_emphasis);
}

std::string for_terminal(std::string_view text) {
    std::string shown;
    shown.reserve(text.size());
    for (std::size_t at = 0; at < text.size();) {
        if (const Mark* mark = mark_at(text, at)) {
            shown += mark->colour;
            at += mark_size;
        } else if (text[at] == '\n') {
            shown += text[at++];
        } else {
            const Visible next = visible(text, at);
            shown += next.shown;
            at += next.bytes;
        }
    }
    return shown;
}

std::string for_terminal_as_json(std::string_view json) {
    std::string shown;
    shown.reserve(json.size());
    for (std::size_t at = 0; at < json.size();) {
        const CodePoint c = code_point(json, at);
        if (c.bytes == 0) {
            shown += "\\ufffd";
        } else if (json[at] != '\n' && is_harmful(c.value)) {
            shown += fmt::format("\\u{:04x}", static_cast<unsigned>(c.value));
        } else {
            shown += json.substr(at, c.bytes);
        }
        at += std::max<std::size_t>(c.bytes, 1);
    }
    return shown;
}

std::size_t shown_width(std::string_view text) {
    std::size_t width = 0;
    for (std::size_t at = 0; at < text.size();) {
        if (mark_at(text, at)) {
            at += mark_size;
            continue;
        }
        const Visible next = visible(text, at);
        width += next.width;
        at += next.bytes;
    }
    return width;
}

std::string in_one_line(std::string_view text) {
    std::string line;
    for (const char c : text) {
        if (c == '\n') {
            line += "\\x0a";
        } else {
            line += c;
        }
    }
    return line;
}

}  // namespace gapwright
