#include "bench/meter/measure_names.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "bench/meter/measurement.hpp"

namespace gapwright {
namespace {

std::vector<std::string> words_of(std::string_view text) {
    std::vector<std::string> words;
    while (!text.empty()) {
        const std::size_t begin = std::min(text.find_first_not_of(" \t"), text.size());
        text.remove_prefix(begin);
        const std::size_t end = std::min(text.find_first_of(" \t"), text.size());
        if (end > 0) words.emplace_back(text.substr(0, end));
        text.remove_prefix(end);
    }
    return words;
}

// "U1/D2" with its names in order.
std::string in_order(const std::string& word) {
    std::vector<std::string> parts;
    std::size_t at = 0;
    while (at <= word.size()) {
        const std::size_t end = std::min(word.find('/', at), word.size());
        parts.push_back(word.substr(at, end - at));
        at = end + 1;
    }
    std::ranges::sort(parts);
    return fmt::format("{}", fmt::join(parts, "/"));
}

}  // namespace

std::string plain_name(std::string_view name) {
    const auto words = words_of(name);
    std::vector<std::string> plain;
    for (std::size_t k = 0; k < words.size(); ++k) {
        const auto word = [&](std::size_t n) {
            return k + n < words.size() ? std::string_view(words[k + n]) : std::string_view();
        };
        const bool of_side = word(0) == "input" || word(0) == "output";
        if (word(0) == "between" && word(2) == "and" && !word(3).empty()) {
            // "voltage between D2 and U1" is that at the node between them.
            const bool of_node = plain.size() == 1 && plain[0] != "isolation";
            if (of_node) plain.emplace_back("at");
            plain.push_back(in_order(fmt::format("{}/{}", word(1), word(3))));
            k += 3;
        } else if (of_side && (word(1) == "supply" || word(1) == "return")) {
            plain.push_back(fmt::format("{}.{}", word(0), word(1)));
            ++k;
        } else {
            plain.push_back(in_order(words[k]));
        }
    }
    return fmt::format("{}", fmt::join(plain, " "));
}

std::vector<std::string> names_of(const Measurement& measurement) {
    std::vector<std::string> names = {measurement.measure};
    names.insert(names.end(), measurement.also.begin(), measurement.also.end());
    return names;
}

}  // namespace gapwright
