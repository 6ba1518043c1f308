// The part of diagnostics.hpp that guesses which name was meant.
#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "source/diagnostics.hpp"
#include "source/utf8.hpp"

namespace gapwright {
namespace {

// Longer names are never "near": nobody mistypes them, and comparing them takes long.
constexpr std::size_t longest_name = 100;

// The letters of a name, capitals of ASCII made small.
std::u32string folded(std::string_view name) {
    std::u32string letters;
    for (std::size_t at = 0; at < name.size();) {
        const CodePoint c = code_point(name, at);
        const bool capital = c.value >= U'A' && c.value <= U'Z';
        letters += capital ? c.value + (U'a' - U'A') : c.value;
        at += std::max<std::size_t>(c.bytes, 1);
    }
    return letters;
}

// How many letters to add, drop, exchange or swap with their neighbour to get from a to b: the
// Damerau–Levenshtein distance, each pair of letters swapped at most once.
std::size_t distance(const std::u32string& a, const std::u32string& b) {
    std::vector<std::size_t> before(b.size() + 1);
    std::vector<std::size_t> last(b.size() + 1);
    std::vector<std::size_t> now(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j) last[j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        now[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t exchange = a[i - 1] == b[j - 1] ? 0 : 1;
            now[j] = std::min({last[j] + 1, now[j - 1] + 1, last[j - 1] + exchange});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) {
                now[j] = std::min(now[j], before[j - 2] + 1);
            }
        }
        before.swap(last);
        last.swap(now);
    }
    return last[b.size()];
}

}  // namespace

std::string nearest_name(std::string_view name, const std::vector<std::string>& candidates) {
    if (name.size() > 4 * longest_name) return {};
    const std::u32string wanted = folded(name);
    if (wanted.empty() || wanted.size() > longest_name) return {};
    std::string nearest;
    std::size_t nearest_distance = longest_name + 1;
    for (const std::string& candidate : candidates) {
        if (candidate.empty() || candidate.size() > 4 * longest_name) continue;
        const std::u32string offered = folded(candidate);
        const std::size_t letters = std::max(wanted.size(), offered.size());
        if (letters > longest_name) continue;
        const std::size_t differing = distance(wanted, offered);
        if (3 * differing > letters || differing >= nearest_distance) continue;
        nearest = candidate;
        nearest_distance = differing;
    }
    return nearest;
}

std::string did_you_mean(std::string_view name, const std::vector<std::string>& candidates) {
    const std::string nearest = nearest_name(name, candidates);
    return nearest.empty() ? std::string() : fmt::format(" (did you mean \"{}\"?)", nearest);
}

}  // namespace gapwright
