// The part of bench_record.hpp that puts a record into TOML.
#include <fmt/format.h>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>

#include "bench/meter/reading_value.hpp"
#include "bench/sessions/bench_record.hpp"
#include "source/utf8.hpp"

namespace gapwright {
namespace {

// A TOML basic string. Control characters stand as escapes, as do those that turn the direction of
// writing, so that a record shows on a terminal what it holds.
std::string toml_string(std::string_view text) {
    std::string result = "\"";
    for (std::size_t at = 0; at < text.size();) {
        const auto [c, bytes] = code_point(text, at);
        if (bytes == 0) {
            result += "\uFFFD";
            ++at;
            continue;
        }
        const bool turns = (c >= U'\u202A' && c <= U'\u202E') || (c >= U'\u2066' && c <= U'\u2069');
        if (c == U'"' || c == U'\\') {
            result += '\\';
            result += static_cast<char>(c);
        } else if (c == U'\n') {
            result += "\\n";
        } else if (c == U'\t') {
            result += "\\t";
        } else if (c < 0x20U || (c >= 0x7FU && c <= 0x9FU) || turns) {
            result += fmt::format("\\u{:04X}", static_cast<std::uint32_t>(c));
        } else {
            result += text.substr(at, bytes);
        }
        at += bytes;
    }
    return result + '"';
}

void add(std::string& toml, std::string_view key, std::string_view text) {
    if (!text.empty()) toml += fmt::format("{} = {}\n", key, toml_string(text));
}

// A TOML float always has a point or an exponent.
std::string toml_float(double value) {
    std::string text = fmt::format("{}", value);
    if (text.find_first_of(".en") == std::string::npos) text += ".0";
    return text;
}

}  // namespace

std::string record_toml(const BenchRecord& record) {
    std::string toml;
    add(toml, "title", record.title);
    add(toml, "link", record.link);
    add(toml, "who", record.who);
    add(toml, "specimen", record.specimen);
    add(toml, "when", record.when);
    add(toml, "meter", record.meter);
    add(toml, "verdict", record.verdict);
    if (!record.built.empty()) {
        toml += "built = [\n";
        for (const auto& line : record.built) toml += fmt::format("  {},\n", toml_string(line));
        toml += "]\n";
    }
    for (const auto& reading : record.readings) {
        toml += "\n[[reading]]\n";
        add(toml, "state", reading.state);
        add(toml, "measure", reading.measure);
        add(toml, "value", reading_text(reading.value, reading.dimension));
        add(toml, "judgement", reading.judgement);
    }
    for (const auto& suspect : record.suspects) {
        toml += "\n[[suspect]]\n";
        add(toml, "text", suspect.text);
        toml += fmt::format("probability = {}\n", toml_float(suspect.probability));
    }
    return toml;
}

}  // namespace gapwright
