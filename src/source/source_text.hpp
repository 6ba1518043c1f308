// A text that a person wrote, and places in it.
//
// Every value read from a file keeps the Place it came from, so that an error can show the line
// with a caret under the very characters that are wrong.
#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace gapwright {

// One file's text. Immutable; shared by all places that point into it. Lines end with LF or CR LF.
// A byte order mark belongs to the text but to no line: the first line starts behind it.
class SourceText {
  public:
    // `name` is what messages show before the line number, usually the path as it was given.
    SourceText(std::string name, std::string text);

    const std::string& name() const { return name_; }
    std::string_view text() const { return text_; }

    struct LineColumn {
        std::size_t line = 1;    // from 1
        std::size_t column = 1;  // from 1, counted in characters (code points), not bytes
    };
    // Where a byte offset lies. An offset past the end counts as the end.
    LineColumn line_column(std::size_t offset) const;

    // The byte offset of a line and column, both from 1. A column past the end of its line counts
    // as the line's end, a line past the last as the text's end.
    std::size_t offset(LineColumn where) const;

    // The text of line `line` (from 1) without its line ending; empty past the end.
    std::string_view line(std::size_t line) const;

  private:
    std::size_t characters_before(std::size_t offset) const;

    std::string name_;
    std::string text_;
    std::vector<std::size_t> line_starts_;
    // Characters before every 256th byte, so that a place in a very long line is found quickly.
    std::vector<std::size_t> characters_before_block_;
};

// A stretch of a text: bytes [begin, end). A place without a text means "no place known".
struct Place {
    std::shared_ptr<const SourceText> text;
    std::size_t begin = 0;
    std::size_t end = 0;

    // The stretch [from, to) of this place, offsets relative to its begin, clamped to it.
    [[nodiscard]] Place part(std::size_t from, std::size_t to) const;
};

}  // namespace gapwright
