// What a session at the bench found, kept beside the link.
//
// Beside NAME.link.toml stands the folder NAME.bench with one TOML file a session,
// 0007-2026-11-26.toml, numbered as they were written. Records are added and never changed.
#pragma once

#include <expected>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "units/dimension.hpp"

namespace gapwright {

struct RecordedReading {
    std::string state;
    std::string measure;
    double value = 0;  // in the dimension's inner unit; infinity for over range; no NaN
    Dimension dimension = Dimension::voltage;
    std::string judgement = {};  // "within limits", in the words of the report
};

struct RecordedSuspect {
    std::string text;
    double probability = 0;  // 0 to 1
};

// One session. Texts may hold any characters; bytes that are not UTF-8 are kept as U+FFFD.
struct BenchRecord {
    std::string title;     // of the link
    std::string link;      // its file's name
    std::string who = {};  // may be empty
    // Which of several built alike, "board 3"; may be empty.
    std::string specimen = {};
    std::string when;        // ISO 8601 with an offset, "2026-11-26T18:05:00+01:00"
    std::string meter = {};  // in words; may be empty
    std::vector<RecordedReading> readings = {};
    std::string verdict;
    std::vector<RecordedSuspect> suspects = {};
    std::vector<std::string> built = {};  // the link as built, line by line
};

// The folder of a link's records: NAME.bench beside NAME.link.toml.
std::filesystem::path record_folder(const std::filesystem::path& link_file);

// The number that a record's file name starts with; none for any other file's.
std::optional<unsigned long> record_number(const std::string& name);

// The record as TOML: title, link, who, specimen, when, meter, verdict and built; [[reading]] with
// state, measure, value (as reading_text writes it) and judgement; [[suspect]] with text and
// probability. Texts without content are left out.
std::string record_toml(const BenchRecord& record);

// Writes a record as a new file, its number one above the highest in the folder, and returns its
// path. The file appears whole or not at all, whatever happens meanwhile, and replaces none;
// several processes may do this at once. Errors, in words with the system's reason: a `when` that
// starts with no date; the folder cannot be made or written; the disk is full.
std::expected<std::string, std::string> append_record(const std::filesystem::path& link_file,
                                                      const BenchRecord& record);

}  // namespace gapwright
