// [meter]: what the meter shows, how exactly, and what it does to the circuit.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <expected>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include "card/description.hpp"
#include "link/file_table.hpp"
#include "link/meter.hpp"
#include "link/reading.hpp"
#include "source/diagnostics.hpp"
#include "source/toml_document.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"

namespace gapwright::reading {
namespace {

using K = MeterKey;

constexpr std::string_view accuracy_example = "write for example \"± (0.5 % + 2 digits)\"";
constexpr double most_share = 0.5;   // less exact than this nothing is measured
constexpr double most_digits = 999;  // likewise

// A stretch of a text that shrinks from both ends as it is read.
struct Rest {
    std::string_view text;
    std::size_t begin = 0;  // of it in the whole text

    bool take_front(std::string_view mark) {
        if (!text.starts_with(mark)) return false;
        text.remove_prefix(mark.size());
        begin += mark.size();
        return true;
    }
    bool take_back(std::string_view mark) {
        if (!text.ends_with(mark)) return false;
        text.remove_suffix(mark.size());
        return true;
    }
    // Spaces as keyboards and data sheets have them: plain, tab, no-break, narrow no-break.
    void trim() {
        constexpr std::string_view spaces[] = {" ", "\t", "\u00A0", "\u202F"};
        for (bool more = true; more;) {
            more = false;
            for (const auto space : spaces) more = take_front(space) || take_back(space) || more;
        }
    }
};

std::unexpected<TextError> refuse(Cause cause, const Rest& where, std::string message) {
    return std::unexpected(TextError{.cause = cause,
                                     .begin = where.begin,
                                     .end = where.begin + where.text.size(),
                                     .message = std::move(message),
                                     .remedy = std::string(accuracy_example)});
}

// A number without unit or a percentage; the error's place is that of the whole text.
TextExpected<double> number_in(const Rest& term) {
    auto value = parse_quantity(term.text, Dimension::ratio);
    if (!value) {
        value.error().begin += term.begin;
        value.error().end += term.begin;
        value.error().remedy = accuracy_example;
    }
    return value;
}

struct Terms {
    std::optional<double> share;
    std::optional<double> digits;
};

// "0.5 %", "2 digits" or, behind a share, "2".
TextExpected<void> read_term(Rest term, Terms& terms) {
    term.trim();
    if (term.text.empty()) {
        return refuse(Cause::not_a_quantity, term, "a share or a number of digits is missing here");
    }
    const bool share = term.text.find('%') != std::string_view::npos;
    auto& slot = share ? terms.share : terms.digits;
    if (slot) {
        return refuse(Cause::not_a_quantity, term,
                      fmt::format("an accuracy has one {}",
                                  share ? "share of the reading" : "number of digits"));
    }
    Rest number = term;
    if (!share) {
        const bool named = number.take_back("digits") || number.take_back("digit");
        if (named && number.text.empty()) {
            return refuse(Cause::not_a_quantity, term, "how many digits is missing here");
        }
        if (!named && !terms.share && number_in(term)) {
            return refuse(Cause::missing_unit, term,
                          "a number alone may be a share of the reading or of its last digits");
        }
    }
    const auto value = number_in(number);
    if (!value && value.error().cause == Cause::wrong_unit) {
        return refuse(Cause::wrong_unit, term,
                      "this is neither a share in percent nor a number of digits");
    }
    if (!value) return std::unexpected(value.error());
    const double most = share ? most_share : most_digits;
    if (*value < 0 || *value > most) {
        return refuse(Cause::out_of_range, term,
                      share ? "a share of the reading lies between 0 and 50 %"
                            : "the digits of an accuracy lie between 0 and 999");
    }
    slot = *value;
    return {};
}

TextExpected<Accuracy> parse_accuracy(std::string_view text) {
    Rest rest{.text = text};
    rest.trim();
    const Rest whole = rest;
    for (const std::string_view sign : {"±", "+-", "+/-"}) {
        if (rest.take_front(sign)) break;
    }
    rest.trim();
    if (rest.take_front("(") && !rest.take_back(")")) {
        return refuse(Cause::not_a_quantity, whole, "the bracket is not closed");
    }
    Terms terms;
    for (std::size_t from = 0; from <= rest.text.size();) {
        const std::size_t to = std::min(rest.text.find('+', from), rest.text.size());
        const auto read = read_term(
            {.text = rest.text.substr(from, to - from), .begin = rest.begin + from}, terms);
        if (!read) return std::unexpected(read.error());
        from = to + 1;
    }
    if (terms.share.value_or(0) == 0 && terms.digits.value_or(0) == 0) {
        return refuse(Cause::out_of_range, whole, "no meter is without error");
    }
    return Accuracy{.share = terms.share.value_or(0), .digits = terms.digits.value_or(0)};
}

void read_accuracy(Reading& reading, const Stated<K>& table, K key, Accuracy& accuracy) {
    const auto* entry = table.find(key);
    if (!entry) return;
    const auto* text = entry->value.text();
    if (!text) {
        reading.problem(
            Cause::wrong_type, entry->value.place,
            fmt::format("{} is a text with a share of the reading and a number of digits, found {}",
                        name_of(key), entry->value.type_name()),
            std::string(accuracy_example));
        return;
    }
    const auto parsed = parse_accuracy(*text);
    if (parsed) {
        accuracy = *parsed;
    } else {
        reading.problems.push_back(at_text(parsed.error(), entry->value));
    }
}

void read_counts(Reading& reading, const Stated<K>& table, Meter& meter) {
    const FileKey& key = row_of(K::counts);
    const auto* entry = table.find(K::counts);
    if (!entry) return;
    const std::string remedy = "write for example counts = 2000, what three and a half digits show";
    const auto* counts = std::get_if<std::int64_t>(&entry->value.data);
    if (!counts) {
        reading.problem(Cause::wrong_type, entry->value.place,
                        fmt::format("counts is a whole number, found {}", entry->value.type_name()),
                        remedy);
    } else if (!allows(key, *counts)) {
        reading.problem(
            Cause::out_of_range, entry->value.place,
            fmt::format("counts lies between {} and {}", key.takes.least, key.takes.most), remedy);
    } else {
        meter.counts = static_cast<int>(*counts);
    }
}

void read_value(Reading& reading, const Stated<K>& table, K key, double& value) {
    const auto spread = spread_at(reading, table, key);
    if (!spread) return;
    if (spread->varies()) {
        reading.problem(Cause::contradiction, table.find(key)->value.place,
                        fmt::format("{} is one value without a spread", name_of(key)),
                        "the keys ending in accuracy say how far readings may lie from the truth");
        return;
    }
    value = spread->nominal;
}

void read_optional(Reading& reading, const Stated<K>& table, K key, std::optional<double>& value) {
    if (!table.find(key)) return;
    double read = 0;
    read_value(reading, table, key, read);
    if (read > 0) value = read;
}

}  // namespace

void read_meter(Reading& reading) {
    const auto faults = reading.problems.size();
    const auto table = stated<K>(reading);
    if (!table) return;
    Meter meter;
    meter.place = table->place;
    read_accuracy(reading, *table, K::accuracy, meter.voltage);
    read_accuracy(reading, *table, K::current_accuracy, meter.current);
    read_accuracy(reading, *table, K::resistance_accuracy, meter.resistance);
    read_counts(reading, *table, meter);
    read_value(reading, *table, K::input_resistance, meter.input_resistance);
    read_value(reading, *table, K::burden_voltage, meter.burden_voltage);
    read_value(reading, *table, K::test_voltage, meter.test_voltage);
    read_value(reading, *table, K::junction_voltage, meter.junction_voltage);
    read_value(reading, *table, K::junction_current, meter.junction_current);
    read_optional(reading, *table, K::junction_range, meter.junction_range);
    read_optional(reading, *table, K::insulation_voltage, meter.insulation_voltage);
    if (reading.problems.size() == faults) reading.link.meter = meter;
}

}  // namespace gapwright::reading
