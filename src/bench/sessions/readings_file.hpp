// Readings of a built link as a CSV file, filled in at the bench.
#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include "bench/meter/measurement.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright {

// What a meter showed.
struct Reading {
    std::size_t measurement = 0;  // index in the list of measurements that it was read for
    double value = 0;             // V, A or Ω; infinity for over range
    Place place = {};             // of the value in its file
};

// Columns state, measure and value, named in the header in any order and in capitals or not;
// further ones are for people. As spreadsheets write it: separated by commas, semicolons or tabs,
// decimal commas (in quotes where commas separate), spaces round fields, empty lines. A row without
// a value is passed over. Readings stand in the order of the file.
//
// Errors, all at once: those of read_csv, its skipped rows among them; missing_key for a column
// that is not there, contradiction for one that is there twice; unknown_name for a state or a
// measure that is not known; those of parse_reading_value; contradiction, with both places, for a
// second value of one measurement.
Expected<std::vector<Reading>> read_readings(std::shared_ptr<const SourceText> text,
                                             const std::vector<Measurement>& known);

// A file of readings, one row each in their order, that read_readings reads to the same values.
// Requires that each names one of `known`, and none is NaN.
std::string readings_csv(const std::vector<Measurement>& known,
                         const std::vector<Reading>& readings);

// The same for measurements still to be taken, values left empty: a form to fill in.
std::string readings_form(const std::vector<Measurement>& wanted);

}  // namespace gapwright
