// Texts on their way to a terminal: nothing that came from outside may steer it.
//
// What builds a text asks for emphasis by marks; the rim, which puts the text out, turns the marks
// into colours and everything else that a terminal would obey into visible characters. So no
// builder has to know which of its texts came from outside.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace gapwright {

enum class Emphasis { good, doubtful, bad, heading };

// `text` between marks for for_terminal(). A mark holds a byte that is not UTF-8 and a NUL: no file
// that is read (all are UTF-8), no file's name and no argument (none holds a NUL) can bring one
// along.
std::string emphasised(std::string_view text, Emphasis how);

// `text` as a terminal may have it: marks become colours (SGR); line ends stay; other control
// characters, DEL, line separators and characters that turn the writing direction become \x1b or
// \u202e, bytes that are not UTF-8 \xff.
std::string for_terminal(std::string_view text);

// JSON with the same characters as \u escapes, and U+FFFD for bytes that are not UTF-8. Requires
// that they stand within strings only, line ends apart.
std::string for_terminal_as_json(std::string_view json);

// Of what for_terminal() shows: the number of characters. Requires: `text` has no line ends.
std::size_t shown_width(std::string_view text);

// `text` with its line ends made visible, too, for a title or a name. Marks stay.
std::string in_one_line(std::string_view text);

}  // namespace gapwright
