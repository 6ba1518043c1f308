#include "bench/readings_file.hpp"

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

#include "bench/measurement.hpp"
#include "bench/reading_value.hpp"
#include "source/csv_document.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

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

// What is known, by state: the measures of each with their place in the list.
struct Known {
    std::vector<std::string> states;  // each once, in the list's order
    std::map<std::string, std::map<std::string, std::size_t>> measures;
    std::map<std::string, std::vector<std::string>> names;  // of a state's measures, in order

    explicit Known(const std::vector<Measurement>& list) {
        for (std::size_t k = 0; k < list.size(); ++k) {
            const std::string of = bare(list[k].state);
            const std::string name = bare(list[k].measure);
            if (!measures.contains(of)) states.push_back(of);
            measures[of].emplace(name, k);
            names[of].push_back(name);
        }
    }
    // The states that have a measure of that name.
    std::vector<std::string> states_with(const std::string& name) const {
        std::vector<std::string> found;
        for (const auto& of : states) {
            if (measures.at(of).contains(name)) found.push_back('"' + of + '"');
        }
        return found;
    }
};

class ReadingsReader {
  public:
    explicit ReadingsReader(const std::vector<Measurement>& list) : list_(list), known_(list) {}

    Expected<std::vector<Reading>> read(const CsvDocument& document) {
        problems_ = document.skipped;
        if (find_columns(document.header)) {
            for (const auto& record : document.records) read_row(record);
        }
        if (!problems_.empty()) return std::unexpected(std::move(problems_));
        return std::move(readings_);
    }

  private:
    void problem(Cause cause, const Place& place, std::string message, std::string remedy) {
        problems_.push_back({.cause = cause,
                             .place = place,
                             .message = std::move(message),
                             .remedy = std::move(remedy)});
    }

    bool find_columns(const CsvRecord& header) {
        constexpr std::string_view remedy =
            "the first line names the columns state, measure and value, in any order";
        std::vector<std::string> written;
        for (const auto& field : header.fields) written.push_back(in_small_letters(field.text));
        bool complete = true;
        for (const Column column : {state, measure, value}) {
            const auto& name = column_names[column];
            const auto found = std::ranges::find(written, name);
            if (found == written.end()) {
                complete = false;
                problem(Cause::missing_key, header.place,
                        fmt::format("the file has no column \"{}\"", name), std::string(remedy));
                continue;
            }
            columns_[column] = static_cast<std::size_t>(found - written.begin());
            const auto second = std::find(found + 1, written.end(), name);
            if (second == written.end()) continue;
            complete = false;
            problem(Cause::contradiction,
                    header.fields[static_cast<std::size_t>(second - written.begin())].place,
                    fmt::format("the file has two columns \"{}\"", name), std::string(remedy));
        }
        return complete;
    }

    const CsvField& field(const CsvRecord& record, Column column) const {
        return record.fields[columns_[column]];
    }

    void read_row(const CsvRecord& record) {
        const CsvField& written = field(record, value);
        if (bare(written.text).empty()) return;
        const auto which = find_measurement(field(record, state), field(record, measure));
        if (!which) return;
        const auto parsed = parse_reading_value(written.text, list_[*which]);
        if (!parsed) {
            problem(parsed.error().cause, place_of(parsed.error(), written), parsed.error().message,
                    parsed.error().remedy);
        }
        // What could not be read has been written all the same.
        const auto [first, is_new] = places_.emplace(*which, written.place);
        if (!is_new) {
            tell_twice(*which, first->second, written.place);
        } else if (parsed) {
            readings_.push_back({.measurement = *which, .value = *parsed, .place = written.place});
        }
    }

    std::optional<std::size_t> find_measurement(const CsvField& of, const CsvField& name) {
        const std::string wanted_state = bare(of.text);
        const std::string wanted = bare(name.text);
        const auto measures = known_.measures.find(wanted_state);
        if (measures == known_.measures.end()) {
            problem(Cause::unknown_name, of.place,
                    fmt::format("there is no state \"{}\"{}", wanted_state,
                                did_you_mean(wanted_state, known_.states)),
                    fmt::format("its states are {}", fmt::join(known_.states, ", ")));
            return std::nullopt;
        }
        const auto found = measures->second.find(wanted);
        if (found != measures->second.end()) return found->second;
        const auto elsewhere = known_.states_with(wanted);
        const auto& names = known_.names.at(wanted_state);
        problem(Cause::unknown_name, name.place,
                elsewhere.empty()
                    ? fmt::format("nothing called \"{}\" is measured in state \"{}\"{}", wanted,
                                  wanted_state, did_you_mean(wanted, names))
                    : fmt::format("\"{}\" is not measured in state \"{}\", but in {}", wanted,
                                  wanted_state, fmt::join(elsewhere, ", ")),
                fmt::format("write for example {}", names.front()));
        return std::nullopt;
    }

    // In a quoted field text and file may not agree byte for byte.
    static Place place_of(const TextError& error, const CsvField& written) {
        const bool plain = written.place.end - written.place.begin == written.text.size();
        return plain ? written.place.part(error.begin, error.end) : written.place;
    }

    void tell_twice(std::size_t which, const Place& first, const Place& second) {
        const auto line = [](const Place& place) {
            return place.text->line_column(place.begin).line;
        };
        problems_.push_back(
            {.cause = Cause::contradiction,
             .place = second,
             .message =
                 fmt::format("\"{}\" in state \"{}\" stands in line {} and again in line {}",
                             list_[which].measure, list_[which].state, line(first), line(second)),
             .remedy = "keep the reading that was taken on the link as it is now",
             .other = first,
             .other_message = "the first of them"});
    }

    const std::vector<Measurement>& list_;
    Known known_;
    std::array<std::size_t, 3> columns_ = {};
    std::map<std::size_t, Place> places_;  // of values, by measurement
    std::vector<Reading> readings_;
    Problems problems_;
};

}  // namespace

Expected<std::vector<Reading>> read_readings(std::shared_ptr<const SourceText> text,
                                             const std::vector<Measurement>& known) {
    const char separator = csv_separator(*text);
    const auto document =
        read_csv(std::move(text), {.separator = separator, .spaces_count = false});
    if (!document) return std::unexpected(document.error());
    return ReadingsReader(known).read(*document);
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
