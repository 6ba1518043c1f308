// A CSV file by RFC 4180: a header line, then records, each field with its place.
//
// Spreadsheets write other separators too, where the comma is their decimal sign: `csv_separator`
// tells which one a file has.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright {

struct CsvField {
    std::string text;  // unquoted
    Place place;       // as written, with its quotes
};

struct CsvRecord {
    std::vector<CsvField> fields;
    Place place;
};

struct CsvDocument {
    std::shared_ptr<const SourceText> text;
    CsvRecord header;
    std::vector<CsvRecord> records;  // blank lines are passed over
    // Records that could not be read (a stray or missing quote, another number of fields than the
    // header has); the rest of the file is read all the same.
    Problems skipped;
};

// What a file does otherwise than RFC 4180.
struct CsvStyle {
    char separator = ',';      // also ';' or '\t'
    bool spaces_count = true;  // as part of their field; else those round a field, and round its
                               // quotes, are left out
};

// Errors: invalid_utf8, oversized_file above 1 MiB, not_csv when there is no header. A byte order
// mark is passed over; lines may end with LF or CR LF.
Expected<CsvDocument> read_csv(std::shared_ptr<const SourceText> text, CsvStyle style = {});

// Which of ',', ';' and '\t' stands most often, outside of quotes, in the first line that is not
// blank; of equally frequent ones the first.
char csv_separator(const SourceText& text);

// One record as RFC 4180 writes it, quoted where it must be, ended by CR LF.
std::string csv_line(const std::vector<std::string>& fields);

}  // namespace gapwright
