#include "source/csv_document.hpp"

#include <fmt/format.h>

#include "source/utf8.hpp"

namespace gapwright {
namespace {

constexpr std::size_t most_bytes = 1U << 20U;

class CsvReader {
  public:
    explicit CsvReader(std::shared_ptr<const SourceText> text)
        : source_(std::move(text)), text_(source_->text()) {
        if (text_.starts_with("\xEF\xBB\xBF")) at_ = 3;
    }

    CsvDocument read() {
        CsvDocument document;
        document.text = source_;
        bool has_header = false;
        while (at_ < text_.size()) {
            const std::size_t begin = at_;
            fault_.reset();
            CsvRecord record = read_record();
            if (record.fields.size() == 1 && record.fields[0].text.empty() && !fault_) continue;
            record.place = {source_, begin, record_end_};
            if (fault_) {
                document.skipped.push_back(*fault_);
            } else if (!has_header) {
                document.header = std::move(record);
                has_header = true;
            } else if (record.fields.size() != document.header.fields.size()) {
                document.skipped.push_back(
                    {.cause = Cause::not_csv,
                     .place = record.place,
                     .message = fmt::format("this row has {} fields, the header {}",
                                            record.fields.size(), document.header.fields.size()),
                     .remedy = "one field for each column; empty ones keep their comma"});
            } else {
                document.records.push_back(std::move(record));
            }
        }
        return document;
    }

  private:
    bool at_line_end() const {
        return at_ >= text_.size() || text_[at_] == '\n' ||
               (text_[at_] == '\r' && at_ + 1 < text_.size() && text_[at_ + 1] == '\n');
    }

    CsvRecord read_record() {
        CsvRecord record;
        while (true) {
            record.fields.push_back(text_.substr(at_, 1) == "\"" ? quoted() : plain());
            if (fault_) {
                while (!at_line_end()) ++at_;
            }
            if (at_line_end()) break;
            ++at_;  // the comma
        }
        record_end_ = at_;
        while (at_ < text_.size() && text_[at_] != '\n') ++at_;
        ++at_;
        return record;
    }

    CsvField plain() {
        const std::size_t begin = at_;
        while (!at_line_end() && text_[at_] != ',') {
            if (text_[at_] == '"') note("a quote inside a field that is not quoted", at_);
            ++at_;
        }
        return {std::string(text_.substr(begin, at_ - begin)), {source_, begin, at_}};
    }

    CsvField quoted() {
        const std::size_t begin = at_++;
        std::string content;
        while (true) {
            if (at_ >= text_.size()) {
                note("the quote that begins here is never closed", begin);
                // Only this line is given up, or one quote would swallow the rest of the file.
                at_ = begin;
                while (!at_line_end()) ++at_;
                break;
            }
            if (text_[at_] != '"') {
                content += text_[at_++];
            } else if (text_.substr(at_, 2) == "\"\"") {
                content += '"';
                at_ += 2;
            } else {
                ++at_;
                if (!at_line_end() && text_[at_] != ',') {
                    note("text after the closing quote", at_);
                }
                break;
            }
        }
        return {std::move(content), {source_, begin, at_}};
    }

    void note(std::string message, std::size_t at) {
        if (fault_) return;
        fault_ = Diagnostic{.cause = Cause::not_csv,
                            .place = {source_, at, at + 1},
                            .message = std::move(message),
                            .remedy = "quote the whole field, and double each quote inside it"};
    }

    std::shared_ptr<const SourceText> source_;
    std::string_view text_;
    std::size_t at_ = 0;
    std::size_t record_end_ = 0;
    std::optional<Diagnostic> fault_;
};

}  // namespace

Expected<CsvDocument> read_csv(std::shared_ptr<const SourceText> text) {
    const auto refuse = [&](Cause cause, std::size_t at, std::string message) {
        return std::unexpected(Problems{{.cause = cause,
                                         .place = {text, at, at + 1},
                                         .message = std::move(message),
                                         .remedy = {}}});
    };
    if (text->text().size() > most_bytes) {
        return refuse(Cause::oversized_file, 0,
                      fmt::format("the file holds {} KiB, more than the {} KiB that are read",
                                  text->text().size() / 1024, most_bytes / 1024));
    }
    if (const auto bad = first_invalid_utf8(text->text())) {
        return refuse(Cause::invalid_utf8, *bad, "this byte is not UTF-8");
    }
    auto document = CsvReader(text).read();
    if (document.header.fields.empty()) {
        return refuse(Cause::not_csv, 0, "the file has no header line");
    }
    return document;
}

}  // namespace gapwright
