// Words that text, HTML and the page share.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "link/link.hpp"
#include "units/dimension.hpp"

namespace gapwright {

enum class Verdict : unsigned char;
struct LinkStretch;
struct Stretch;
struct CaseFigure;
struct Proof;
struct Caution;
struct PromiseResult;

// A verdict by sign and word, never by colour alone: "✓ kept", "! thin", "✗ broken".
std::string_view verdict_sign(Verdict verdict);

// The same, and a heading, with the marks of source/terminal_text.hpp where colours are wanted; a
// heading is one line, whatever it holds.
std::string shown_verdict(Verdict verdict, bool colour);
std::string shown_heading(std::string_view title, bool colour);

// A text under its heading, with a blank line before; nothing where the text is empty.
std::string shown_section(std::string_view title, std::string_view text, bool colour);

// What a link is called on a terminal, in one line: its title, else its file.
std::string shown_title(const Link& link);

// Prose that may be several lines in its file, in one.
std::string shown_prose(std::string prose);

// A value that stands beside its bound: with as many digits as it takes to tell them apart.
std::string beside(double value, double bound, Dimension dimension);

// Whether a value of a promise is the delay of a level that is never reached.
bool is_never(const PromiseResult& promise, double value);

// Whether its worst value can be drawn against its bound: it is known, and no `never`.
bool has_bar(const PromiseResult& promise);

// A proof's cautions, what it could not judge before them.
std::vector<Caution> cautions_to_tell(const Proof& proof);

// A promise's value, "12.4 µs", "never: comes to 4.10 V", "−3.2 %", with so many digits or, by
// default, as many as it takes beside its bound; and its bounds, "≥ 8 mA", "≤ 20 µs".
std::string promise_value(const PromiseResult& promise, double value,
                          std::optional<int> digits = std::nullopt);
std::string promise_bounds(const PromiseResult& promise);

// The figures that move the quantity most, with how far they lie from their nominal:
// "U1 photocurrent ratio 0.00341 (−25 %), R4 1.43 kΩ (−5 %), 45 °C".
std::string case_text(const std::vector<CaseFigure>& figures);

// A key as people say it: "forward_current" → "forward current".
std::string spoken_key(std::string key);

// A stretch: "1.15", "over 3", "0.83"; empty for none.
std::string shown_stretch(const std::optional<Stretch>& stretch);

// What the least stretch of a link says: "holds until every spread is 1.15 times as wide; the first
// to give way is voltage coil, off, through U1 gain".
std::string stretch_sentence(const LinkStretch& link);

// A share of a spread: "83 %", "over 99 %".
std::string share_of_spread(double share);

// How many specimens were drawn: "100000", or "6804 of 100000" where the user stopped.
std::string drawn_specimens(const Proof& proof);

// A figure as people say it: "R2.value" → "R2", "Q1.gain" → "Q1 gain".
std::string spoken_figure(const std::string& name);

}  // namespace gapwright
