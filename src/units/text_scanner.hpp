// Reads the text of a quantity from left to right: numbers, unit words and marks. Internal to the
// layer.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace gapwright {

// Bytes [begin, end) of a text.
struct TextStretch {
    std::size_t begin = 0;
    std::size_t end = 0;

    bool empty() const { return begin == end; }
};

// A number as written, so that a unit's power of ten joins its exponent before it is rounded:
// "330 nF" is the double nearest to 330e-9.
struct WrittenNumber {
    TextStretch place;
    bool negative = false;
    std::string mantissa;  // digits with at most one point
    int exponent = 0;
};

// How many bytes of space, of any width, or of a tab stand at the start of a text.
std::size_t leading_space(std::string_view text);

class TextScanner {
  public:
    explicit TextScanner(std::string_view text) : text_(text) {}

    std::size_t at() const { return at_; }
    std::string_view text(TextStretch place) const {
        return text_.substr(place.begin, place.end - place.begin);
    }
    std::string_view rest() const { return text_.substr(at_); }
    // From here to the end, spaces at the end left out.
    TextStretch remainder() const;

    // Requires as many bytes as that left.
    void pass(std::size_t bytes) { at_ += bytes; }
    // Spaces of any width, and tabs.
    void pass_spaces();
    bool at_end();
    // Passes `mark`, with the spaces before it, if it comes next.
    bool take(std::string_view mark);
    // The same for a word, which ends where a space, a mark or the text does.
    bool take_word(std::string_view word);

    // A number, if one comes next; else the scanner stays where it is.
    std::optional<WrittenNumber> number();
    // What comes next up to a space, a bracket, a comma, "±", '+' or "..".
    TextStretch word();

  private:
    bool digit_at(std::size_t at) const {
        return at < text_.size() && text_[at] >= '0' && text_[at] <= '9';
    }
    bool take_sign(std::size_t& at) const;
    int exponent_at(std::size_t& at) const;

    std::string_view text_;
    std::size_t at_ = 0;
};

// `text` in quotes for a message, shortened when it is long.
std::string in_quotes(std::string_view text);

}  // namespace gapwright
