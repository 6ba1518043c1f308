#include "card/drawer.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cstddef>
#include <expected>
#include <memory>
#include <optional>
#include <string_view>
#include <system_error>
#include <utility>

#include "card/key.hpp"
#include "card/part_kind.hpp"
#include "card/trade_words.hpp"
#include "source/csv_document.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "units/dimension.hpp"
#include "units/quantity.hpp"
#include "units/typed_quantity.hpp"

namespace gapwright {
namespace {

constexpr auto column_names = std::to_array<std::string_view>(
    {"kind", "value", "tolerance", "power", "count", "card", "note"});
enum Column : std::size_t { kind, value, tolerance, power, count, card, note };

// Where each column stands in the file; none for one that it leaves out.
using Columns = std::array<std::optional<std::size_t>, column_names.size()>;

// One row under way; the first problem ends it.
class RowReader {
  public:
    RowReader(const CsvRecord& record, const Columns& columns)
        : record_(record), columns_(columns) {}

    std::optional<DrawerRow> read() {
        row_.place = record_.place;
        row_.card = text(card);
        row_.note = text(note);
        if (!read_kind() || !read_value() || !read_power() || !read_count()) return std::nullopt;
        if (!row_.value && row_.card.empty()) {
            fault(Cause::missing_key, record_.place, "the row states neither a value nor a card",
                  "write for example resistor,330 Ω,5 %,0.25 W,10,,");
            return std::nullopt;
        }
        return std::move(row_);
    }

    const Diagnostic& problem() const { return *problem_; }

  private:
    std::string text(Column column) const {
        return columns_[column] ? record_.fields[*columns_[column]].text : std::string();
    }
    const Place& place(Column column) const {
        return columns_[column] ? record_.fields[*columns_[column]].place : record_.place;
    }

    bool fault(Cause cause, const Place& where, std::string message, std::string remedy) {
        problem_ = Diagnostic{.cause = cause,
                              .place = where,
                              .message = std::move(message),
                              .remedy = std::move(remedy)};
        return false;
    }

    bool fault(const TextError& error, Column column) {
        // In a quoted field text and file do not agree byte for byte.
        const Place& field = place(column);
        const bool plain = field.end - field.begin == text(column).size();
        return fault(error.cause, plain ? field.part(error.begin, error.end) : field, error.message,
                     error.remedy);
    }

    bool read_kind() {
        const auto named = kind_named(text(kind));
        if (!named) {
            const std::string remedy = kind_remedy(text(kind), KindPlace::drawer);
            return fault(Cause::unknown_name, place(kind),
                         fmt::format("no part is of kind \"{}\"", text(kind)),
                         remedy.empty() ? "write for example resistor" : remedy);
        }
        row_.kind = named->kind;
        return true;
    }

    bool read_value() {
        if (text(value).empty()) return true;
        const auto* key = find_key(kind_rule(row_.kind), Key::value);
        if (!key) {
            return fault(Cause::contradiction, place(value),
                         fmt::format("{} has no value", kind_rule(row_.kind).name),
                         "name its card instead");
        }
        std::string stated = text(value);
        if (!text(tolerance).empty()) stated += " ± " + text(tolerance);
        const auto nominal = parse_quantity(text(value), key->dimension);
        if (!nominal) return fault(nominal.error(), value);
        const auto spread = parse_spread(stated, key->dimension);
        if (!spread) {
            return refuse_tolerance(spread.error());
        }
        row_.value = *spread;
        return true;
    }

    // The value was read: what is wrong stands in the tolerance.
    bool refuse_tolerance(const TextError& error) {
        const auto written =
            rewrite_quantity(text(tolerance), {.dimension = Dimension::ratio, .percent = true});
        if (!written) {
            return fault(error.cause, place(tolerance), written.error().message,
                         written.error().remedy);
        }
        return fault(error.cause, place(tolerance), error.message,
                     write_one_of(std::array{written->text}));
    }

    bool read_power() {
        if (text(power).empty()) return true;
        const auto watts = parse_quantity(text(power), Dimension::power);
        if (!watts) return fault(watts.error(), power);
        row_.power = *watts;
        return true;
    }

    bool read_count() {
        const std::string stated = text(count);
        if (stated.empty()) return true;
        unsigned number = 0;
        const auto [end, error] =
            std::from_chars(stated.data(), stated.data() + stated.size(), number);
        if (error != std::errc() || end != stated.data() + stated.size()) {
            return fault(Cause::not_a_quantity, place(count),
                         fmt::format("\"{}\" is no number of parts", stated),
                         "write a whole number, or leave it empty for as many as wanted");
        }
        row_.count = number;
        return true;
    }

    const CsvRecord& record_;
    const Columns& columns_;
    DrawerRow row_;
    std::optional<Diagnostic> problem_;
};

}  // namespace

Expected<Drawer> read_drawer(std::shared_ptr<const SourceText> text) {
    const auto document = read_csv(std::move(text));
    if (!document) return std::unexpected(document.error());
    Columns columns;
    Problems problems;
    const auto& header = document->header.fields;
    for (std::size_t k = 0; k < header.size(); ++k) {
        const auto found = std::ranges::find(column_names, header[k].text);
        if (found != column_names.end()) {
            columns[static_cast<std::size_t>(found - column_names.begin())] = k;
            continue;
        }
        problems.push_back(
            {.cause = Cause::unknown_key,
             .place = header[k].place,
             .message = fmt::format("a drawer has no column \"{}\"", header[k].text),
             .remedy = fmt::format("its columns are {}", fmt::join(column_names, ","))});
    }
    if (!problems.empty()) return std::unexpected(std::move(problems));
    Drawer drawer;
    drawer.skipped = document->skipped;
    for (const auto& record : document->records) {
        RowReader reader(record, columns);
        if (auto row = reader.read()) {
            drawer.rows.push_back(std::move(*row));
        } else {
            drawer.skipped.push_back(reader.problem());
        }
    }
    return drawer;
}

}  // namespace gapwright
