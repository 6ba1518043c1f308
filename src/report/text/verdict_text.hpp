// A proof as people read it at a terminal.
#pragma once

#include <string>

namespace gapwright {

struct Link;
struct Proof;

struct TextStyle {
    bool colour = false;  // ANSI colours besides the signs, never in their place
    bool steps = true;    // worked steps
};

// The verdict: head, promises, ratings, levels, nominal states, worked steps, cautions. Lines end
// with '\n'.
std::string verdict_text(const Link& link, const Proof& proof, const TextStyle& style);

}  // namespace gapwright
