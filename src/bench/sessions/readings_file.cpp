#include "bench/sessions/readings_file.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <expected>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "bench/meter/measure_names.hpp"
#include "bench/meter/measurement.hpp"
#include "bench/meter/reading_value.hpp"
#include "circuit/index.hpp"
#include "source/csv_document.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "units/quantity.hpp"

namespace gapwright {
namespace {

enum Column : std::size_t { state, measure, value };
const std::vector<std::string> column_names = {"state", "measure", "value"};

// A name as it stands in a file: the reader leaves out spaces round it.
std::string bare(std::string_view name) {
    const std::size_t begin = std::min(name.find_first_not_of(" \t"), name.size());
    name.remove_prefix(begin);
    return std::string(name.substr(0, name.find_last_not_of(" \t") + 1));
}

std::string in_small_letters(std::string text) {
    for (char& c : text) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c + ('a' - 'A'));
    }
    return text;
}

// The words of a name, split at blanks, dots and strokes.
std::vector<std::string> words_in(std::string_view name) {
    std::vector<std::string> words(1);
    for (const char c : name) {
        if (c == ' ' || c == '.' || c == '/') {
            if (!words.back().empty()) words.emplace_back();
        } else {
            words.back() += c;
        }
    }
    return words;
}

// What is known, by state: the measures of each with their place in the list.
struct Known {
    std::vector<std::string> states;  // each once, in the list's order
    std::map<std::string, std::map<std::string, std::size_t>> measures;
    std::map<std::string, std::vector<std::string>> names;  // of a state's measures, in order
    std::map<std::string, std::vector<std::optional<Side>>> sides;  // beside `names`

    explicit Known(const std::vector<Measurement>& list) {
        for (std::size_t k = 0; k < list.size(); ++k) {
            const std::string of = bare(list[k].state);
            if (!measures.contains(of)) states.push_back(of);
            const std::optional<Side> side =
                crosses_gap(list[k]) ? std::nullopt : std::optional(list[k].side);
            for (const std::string& called : names_of(list[k])) {
                measures[of].emplace(plain_name(called), k);
                names[of].push_back(called);
                sides[of].push_back(side);
            }
        }
    }
    // Names of a state that somebody may have meant: of one side where a word of the name is known
    // there alone, so that nobody is led across the gap.
    std::vector<std::string> likely(const std::string& of, const std::string& wanted) const {
        const auto& all = names.at(of);
        std::map<std::string, std::array<bool, 2>> there;  // by word: on which side it is known
        std::vector<std::string> words;
        for (std::size_t k = 0; k < all.size(); ++k) {
            for (const std::string& word : words_in(all[k])) {
                words.push_back(word);
                const auto& side = sides.at(of)[k];
                auto& known = there[word];
                if (!side || *side == Side::input) known[0] = true;
                if (!side || *side == Side::output) known[1] = true;
            }
        }
        std::optional<Side> only;
        for (const std::string& written : words_in(wanted)) {
            const auto word = there.find(nearest_name(written, words));
            if (word == there.end() || word->second[0] == word->second[1]) continue;
            only = word->second[0] ? Side::input : Side::output;
        }
        std::vector<std::string> found;
        for (std::size_t k = 0; k < all.size(); ++k) {
            if (!only || !sides.at(of)[k] || sides.at(of)[k] == only) found.push_back(all[k]);
        }
        return found;
    }
    // The states that have a measure of that name.
    std::vector<std::string> states_with(const std::string& name) const {
        std::vector<std::string> found;
        for (const auto& of : states) {
            if (measures.at(of).contains(plain_name(name))) found.push_back('"' + of + '"');
        }
        return found;
    }
};

using Columns = std::array<std::size_t, 3>;  // by Column: its place in a row

Diagnostic problem(Cause cause, const Place& place, std::string message, std::string remedy) {
    return {
        .cause = cause, .place = place, .message = std::move(message), .remedy = std::move(remedy)};
}

// Errors: missing_key, and contradiction where a column is there twice.
Expected<Columns> find_columns(const CsvRecord& header) {
    constexpr std::string_view remedy =
        "the first line names the columns state, measure and value, in any order";
    std::vector<std::string> written;
    for (const auto& field : header.fields) written.push_back(in_small_letters(field.text));
    Columns columns{};
    Problems problems;
    for (const Column column : {state, measure, value}) {
        const auto& name = column_names[column];
        const auto found = std::ranges::find(written, name);
        if (found == written.end()) {
            problems.push_back(problem(Cause::missing_key, header.place,
                                       fmt::format("the file has no column \"{}\"", name),
                                       std::string(remedy)));
            continue;
        }
        columns[column] = static_cast<std::size_t>(found - written.begin());
        const auto second = std::find(found + 1, written.end(), name);
        if (second == written.end()) continue;
        problems.push_back(
            problem(Cause::contradiction,
                    header.fields[static_cast<std::size_t>(second - written.begin())].place,
                    fmt::format("the file has two columns \"{}\"", name), std::string(remedy)));
    }
    if (!problems.empty()) return std::unexpected(std::move(problems));
    return columns;
}

std::expected<std::size_t, Diagnostic> find_measurement(const Known& known, const CsvField& of,
                                                        const CsvField& name) {
    const std::string wanted_state = bare(of.text);
    const std::string wanted = bare(name.text);
    const auto measures = known.measures.find(wanted_state);
    if (measures == known.measures.end()) {
        return std::unexpected(
            problem(Cause::unknown_name, of.place,
                    fmt::format("there is no state \"{}\"{}", wanted_state,
                                did_you_mean(wanted_state, known.states)),
                    fmt::format("its states are {}", fmt::join(known.states, ", "))));
    }
    const auto found = measures->second.find(plain_name(wanted));
    if (found != measures->second.end()) return found->second;
    const auto elsewhere = known.states_with(wanted);
    const auto& names = known.names.at(wanted_state);
    return std::unexpected(problem(
        Cause::unknown_name, name.place,
        elsewhere.empty()
            ? fmt::format("nothing called \"{}\" is measured in state \"{}\"{}", wanted,
                          wanted_state, did_you_mean(wanted, known.likely(wanted_state, wanted)))
            : fmt::format("\"{}\" is not measured in state \"{}\", but in {}", wanted, wanted_state,
                          fmt::join(elsewhere, ", ")),
        fmt::format("write for example {}", names.front())));
}

// In a quoted field text and file may not agree byte for byte.
Diagnostic misread(const TextError& error, const CsvField& written) {
    const bool plain = written.place.end - written.place.begin == written.text.size();
    return problem(error.cause, plain ? written.place.part(error.begin, error.end) : written.place,
                   error.message, error.remedy);
}

Diagnostic told_twice(const Measurement& which, const Place& first, const Place& second) {
    const auto line = [](const Place& place) { return place.text->line_column(place.begin).line; };
    return {.cause = Cause::contradiction,
            .place = second,
            .message = fmt::format("\"{}\" in state \"{}\" stands in line {} and again in line {}",
                                   which.measure, which.state, line(first), line(second)),
            .remedy = "keep the reading that was taken on the link as it is now",
            .other = first,
            .other_message = "the first of them"};
}

Expected<std::vector<Reading>> readings_in(const CsvDocument& document,
                                           const std::vector<Measurement>& list) {
    const Known known(list);
    Problems problems = document.skipped;
    std::vector<Reading> readings;
    std::map<std::size_t, Place> places;  // of values, by measurement
    const auto columns = find_columns(document.header);
    if (!columns) {
        problems.insert(problems.end(), columns.error().begin(), columns.error().end());
        return std::unexpected(std::move(problems));
    }
    for (const auto& record : document.records) {
        const auto field = [&](Column column) -> const CsvField& {
            return record.fields[(*columns)[column]];
        };
        const CsvField& written = field(value);
        if (bare(written.text).empty()) continue;
        const auto which = find_measurement(known, field(state), field(measure));
        if (!which) {
            problems.push_back(which.error());
            continue;
        }
        const auto parsed = parse_reading_value(written.text, list[*which]);
        if (!parsed) problems.push_back(misread(parsed.error(), written));
        // What could not be read has been written all the same.
        const auto [first, is_new] = places.emplace(*which, written.place);
        if (!is_new) {
            problems.push_back(told_twice(list[*which], first->second, written.place));
        } else if (parsed) {
            readings.push_back({.measurement = *which, .value = *parsed, .place = written.place});
        }
    }
    if (!problems.empty()) return std::unexpected(std::move(problems));
    return readings;
}

}  // namespace

Expected<std::vector<Reading>> read_readings(std::shared_ptr<const SourceText> text,
                                             const std::vector<Measurement>& known) {
    const char separator = csv_separator(*text);
    const auto document =
        read_csv(std::move(text), {.separator = separator, .spaces_count = false});
    if (!document) return std::unexpected(document.error());
    return readings_in(*document, known);
}

std::string readings_csv(const std::vector<Measurement>& known,
                         const std::vector<Reading>& readings) {
    std::string csv = csv_line(column_names);
    for (const auto& reading : readings) {
        const Measurement& of = known[reading.measurement];
        csv += csv_line({of.state, of.measure, reading_text(reading.value, of.dimension())});
    }
    return csv;
}

std::string readings_form(const std::vector<Measurement>& wanted) {
    std::string csv = csv_line(column_names);
    for (const auto& of : wanted) csv += csv_line({of.state, of.measure, ""});
    return csv;
}

}  // namespace gapwright
