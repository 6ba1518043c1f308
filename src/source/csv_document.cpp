#include "source/csv_document.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstddef>
#include <expected>
#include <memory>
#include <utility>
#include <vector>

#include "source/diagnostics.hpp"
#include "source/source_text.hpp"
#include "source/text_check.hpp"

namespace gapwright {
namespace {

// Reads records one after the other. A record that breaks the grammar is given up at the end of its
// first line, so that a forgotten quote does not swallow the rows behind it.
class CsvReader {
  public:
    CsvReader(const std::shared_ptr<const SourceText>& source, CsvStyle style)
        : source_(source),
          text_(source->text()),
          at_(source->offset({.line = 1, .column = 1})),
          style_(style) {}

    bool at_end() const { return at_ >= text_.size(); }

    // The next record, or why it is none. Leaves the reader at the start of a line.
    std::expected<CsvRecord, Diagnostic> record() {
        const std::size_t begin = at_;
        CsvRecord record;
        while (true) {
            pass_spaces();
            auto field = next_is('"') ? quoted_field() : plain_field();
            if (!field) {
                at_ = begin;
                while (!at_line_end()) ++at_;
                pass_line_end();
                return std::unexpected(std::move(field.error()));
            }
            record.fields.push_back(*std::move(field));
            if (at_line_end()) break;
            ++at_;  // the separator
        }
        record.place = place(begin, at_);
        pass_line_end();
        return record;
    }

  private:
    using Field = std::expected<CsvField, Diagnostic>;

    Place place(std::size_t begin, std::size_t end) const {
        return {.text = source_, .begin = begin, .end = end};
    }
    bool next_is(char c) const { return !at_end() && text_[at_] == c; }
    bool at_line_end() const {
        const std::string_view rest = text_.substr(at_, 2);
        return rest.empty() || rest[0] == '\n' || rest == "\r\n" || rest == "\r";
    }
    bool space_at(std::size_t at) const {
        return text_[at] == ' ' || (text_[at] == '\t' && style_.separator != '\t');
    }
    void pass_spaces() {
        if (style_.spaces_count) return;
        while (!at_end() && space_at(at_)) ++at_;
    }
    void pass_line_end() {
        if (next_is('\r')) ++at_;
        if (next_is('\n')) ++at_;
    }

    Field plain_field() {
        const std::size_t begin = at_;
        for (; !at_line_end() && text_[at_] != style_.separator; ++at_) {
            if (text_[at_] == '"') {
                return fault(at_, "a quote stands inside a field that is not quoted",
                             "quote the whole field and double each quote inside it");
            }
            if (text_[at_] == '\r') {
                return fault(at_, "a carriage return stands here without a line feed",
                             "end lines with LF or CR LF");
            }
        }
        std::size_t end = at_;
        while (!style_.spaces_count && end > begin && space_at(end - 1)) --end;
        return CsvField{.text = std::string(text_.substr(begin, end - begin)),
                        .place = place(begin, end)};
    }

    Field quoted_field() {
        const std::size_t begin = at_++;
        std::string content;
        while (true) {
            const std::size_t quote = text_.find('"', at_);
            if (quote == std::string_view::npos) {
                return fault(begin, "this quote is never closed", "close it behind the field");
            }
            content += text_.substr(at_, quote - at_);
            at_ = quote + 1;
            if (!next_is('"')) break;
            content += '"';
            ++at_;
        }
        const std::size_t end = at_;
        pass_spaces();
        if (!at_line_end() && text_[at_] != style_.separator) {
            return fault(begin, "a quote that opens here closes before the field ends",
                         "double each quote inside a quoted field");
        }
        return CsvField{.text = std::move(content), .place = place(begin, end)};
    }

    std::unexpected<Diagnostic> fault(std::size_t at, std::string message,
                                      std::string remedy) const {
        return std::unexpected(Diagnostic{.cause = Cause::not_csv,
                                          .place = place(at, at + 1),
                                          .message = std::move(message),
                                          .remedy = std::move(remedy)});
    }

    std::shared_ptr<const SourceText> source_;
    std::string_view text_;
    std::size_t at_;
    CsvStyle style_;
};

bool is_blank_line(const CsvRecord& record) {
    const Place& first = record.fields.front().place;
    return record.fields.size() == 1 && first.begin == first.end;
}

std::string fields(std::size_t count) {
    return fmt::format("{} field{}", count, count == 1 ? "" : "s");
}

std::string_view separator_name(char separator) {
    return separator == ';' ? "semicolon" : separator == '\t' ? "tab" : "comma";
}

Diagnostic wrong_field_count(const CsvRecord& record, std::size_t wanted, char separator) {
    const std::string_view mark = separator_name(separator);
    const std::string message =
        fmt::format("this row has {}, the header has {}", fields(record.fields.size()), wanted);
    return {.cause = Cause::not_csv,
            .place = record.place,
            .message = message,
            .remedy = fmt::format("keep the {} of an empty field; quote a field that holds a {}",
                                  mark, mark)};
}

Diagnostic no_header(const std::shared_ptr<const SourceText>& text) {
    return {.cause = Cause::not_csv,
            .place = {.text = text, .begin = 0, .end = 0},
            .message = "the file has no header line",
            .remedy = "name the columns in the first line"};
}

}  // namespace

Expected<CsvDocument> read_csv(std::shared_ptr<const SourceText> text, CsvStyle style) {
    if (auto trouble = find_unreadable(text)) return std::unexpected(only(*std::move(trouble)));
    CsvDocument document{.text = {}, .header = {}, .records = {}, .skipped = {}};
    CsvReader reader(text, style);
    while (!reader.at_end()) {
        auto record = reader.record();
        const bool before_header = document.header.fields.empty();
        if (!record) {
            if (before_header) return std::unexpected(only(std::move(record.error())));
            document.skipped.push_back(std::move(record.error()));
        } else if (is_blank_line(*record)) {
            continue;
        } else if (before_header) {
            document.header = *std::move(record);
        } else if (record->fields.size() != document.header.fields.size()) {
            document.skipped.push_back(
                wrong_field_count(*record, document.header.fields.size(), style.separator));
        } else {
            document.records.push_back(*std::move(record));
        }
    }
    if (document.header.fields.empty()) return std::unexpected(only(no_header(text)));
    document.text = std::move(text);
    return document;
}

char csv_separator(const SourceText& text) {
    constexpr std::string_view separators = ",;\t";
    std::size_t counts[separators.size()] = {};
    const std::string_view whole = text.text();
    std::size_t at = text.offset({.line = 1, .column = 1});
    while (at < whole.size() && (whole[at] == '\n' || whole[at] == '\r')) ++at;
    bool quoted = false;
    for (; at < whole.size() && whole[at] != '\n'; ++at) {
        if (whole[at] == '"') quoted = !quoted;
        const std::size_t which = separators.find(whole[at]);
        if (!quoted && which != std::string_view::npos) ++counts[which];
    }
    return separators[static_cast<std::size_t>(std::ranges::max_element(counts) - counts)];
}

std::string csv_line(const std::vector<std::string>& fields) {
    std::string line;
    for (std::size_t k = 0; k < fields.size(); ++k) {
        if (k > 0) line += ',';
        if (fields[k].find_first_of(",\"\r\n") == std::string::npos) {
            line += fields[k];
            continue;
        }
        line += '"';
        for (const char c : fields[k]) line += c == '"' ? std::string("\"\"") : std::string(1, c);
        line += '"';
    }
    return line + "\r\n";
}

}  // namespace gapwright
