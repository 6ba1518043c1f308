#include "bench/sessions/record_reading.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <expected>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>
#include <variant>
#include <vector>

#include "bench/meter/measure_names.hpp"
#include "bench/meter/measurement.hpp"
#include "bench/meter/reading_value.hpp"
#include "bench/sessions/bench_record.hpp"
#include "source/toml_document.hpp"

namespace gapwright {
namespace {

namespace fs = std::filesystem;

std::string text_at(const TomlTable& table, std::string_view key) {
    const TomlEntry* entry = table.find(key);
    const std::string* text = entry ? entry->value.text() : nullptr;
    return text ? *text : std::string();
}

template <class Work>
void for_tables(const TomlTable& root, std::string_view key, const Work& work) {
    const TomlEntry* entry = root.find(key);
    const TomlArray* all = entry ? entry->value.array() : nullptr;
    if (!all) return;
    for (const TomlValue& one : *all) {
        if (const TomlTable* table = one.table()) work(*table);
    }
}

// By state and plain name: which measurement.
using Names = std::map<std::pair<std::string, std::string>, std::size_t>;

Names names_by_state(const std::vector<Measurement>& measurements) {
    Names names;
    for (std::size_t m = 0; m < measurements.size(); ++m) {
        for (const std::string& name : names_of(measurements[m])) {
            names.try_emplace({measurements[m].state, plain_name(name)}, m);
        }
    }
    return names;
}

void read_one(const TomlTable& table, const Names& names,
              const std::vector<Measurement>& measurements, PastSession& session) {
    RecordedReading reading{.state = text_at(table, "state"),
                            .measure = text_at(table, "measure"),
                            .judgement = text_at(table, "judgement")};
    const auto found = names.find({reading.state, plain_name(reading.measure)});
    const auto value = found == names.end()
                           ? std::nullopt
                           : std::optional(parse_reading_value(text_at(table, "value"),
                                                               measurements[found->second]));
    if (!value || !*value) {
        session.unknown.push_back(fmt::format("{}, {}", reading.measure, reading.state));
        return;
    }
    reading.value = **value;
    reading.dimension = measurements[found->second].dimension();
    session.record.readings.push_back(reading);
    session.readings.push_back({.measurement = found->second, .value = reading.value});
}

std::expected<PastSession, std::string> read_session(const fs::path& path, const Names& names,
                                                     const std::vector<Measurement>& measurements) {
    const auto text = read_file(path.string());
    if (!text) return std::unexpected(text.error().front().message);
    const auto document = read_toml(*text);
    if (!document) return std::unexpected(document.error().front().message);
    const TomlTable& root = document->root;
    PastSession session{.file = path.filename().string(),
                        .record = {.title = text_at(root, "title"),
                                   .link = text_at(root, "link"),
                                   .who = text_at(root, "who"),
                                   .specimen = text_at(root, "specimen"),
                                   .when = text_at(root, "when"),
                                   .meter = text_at(root, "meter"),
                                   .verdict = text_at(root, "verdict")}};
    if (session.record.when.empty() || session.record.verdict.empty()) {
        return std::unexpected("it has no time or no verdict, as records have");
    }
    for_tables(root, "reading",
               [&](const TomlTable& table) { read_one(table, names, measurements, session); });
    for_tables(root, "suspect", [&](const TomlTable& table) {
        const TomlEntry* share = table.find("probability");
        const double* value = share ? std::get_if<double>(&share->value.data) : nullptr;
        session.record.suspects.push_back({text_at(table, "text"), value ? *value : 0});
    });
    return session;
}

}  // namespace

std::expected<PastSessions, std::string> past_sessions(
    const fs::path& link_file, const std::vector<Measurement>& measurements) {
    PastSessions past;
    const fs::path folder = record_folder(link_file);
    std::error_code trouble;
    if (!fs::exists(folder, trouble)) return past;
    std::vector<std::pair<unsigned long, fs::path>> records;
    for (fs::directory_iterator entry(folder, trouble);
         !trouble && entry != fs::directory_iterator(); entry.increment(trouble)) {
        const auto number = record_number(entry->path().filename().string());
        if (number) records.emplace_back(*number, entry->path());
    }
    if (trouble) {
        return std::unexpected(
            fmt::format("{} cannot be read: {}", folder.string(), trouble.message()));
    }
    std::ranges::sort(records);
    const Names names = names_by_state(measurements);
    for (const auto& [number, path] : records) {
        auto session = read_session(path, names, measurements);
        if (session) {
            past.sessions.push_back(std::move(*session));
        } else {
            past.unreadable.push_back(
                fmt::format("{}: {}", path.filename().string(), session.error()));
        }
    }
    return past;
}

}  // namespace gapwright
