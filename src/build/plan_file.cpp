#include "build/plan_file.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <cstddef>
#include <expected>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/plan_table.hpp"
#include "board/wiring.hpp"
#include "source/csv_document.hpp"
#include "source/diagnostics.hpp"
#include "source/source_text.hpp"

namespace gapwright {
namespace {

constexpr auto columns =
    std::to_array<std::string_view>({"item", "name", "pin", "hole", "to", "node", "length"});
enum Column : std::size_t { item, name, pin, hole, to, node, length };

class PlanReader {
  public:
    Expected<PlanTable> read(const CsvDocument& document) {
        for (const auto& problem : document.skipped) problems_.push_back(problem);
        if (!has_right_header(document)) return std::unexpected(std::move(problems_));
        for (const auto& record : document.records) read_row(record);
        if (problems_.empty()) finish(document);
        if (!problems_.empty()) return std::unexpected(std::move(problems_));
        return std::move(table_);
    }

  private:
    void problem(Cause cause, const Place& place, std::string message, std::string remedy) {
        problems_.push_back({.cause = cause,
                             .place = place,
                             .message = std::move(message),
                             .remedy = std::move(remedy)});
    }

    bool has_right_header(const CsvDocument& document) {
        const auto& fields = document.header.fields;
        const bool right = std::ranges::equal(
            fields, columns, [](const CsvField& f, std::string_view c) { return f.text == c; });
        if (!right) {
            problem(Cause::unknown_key, document.header.place, "this is no header of a board plan",
                    fmt::format("its columns are {}", fmt::join(columns, ",")));
        }
        return right;
    }

    void read_row(const CsvRecord& record) {
        const auto text = [&](Column c) { return record.fields[c].text; };
        const std::string what = text(item);
        if (what == "board") {
            read_board(record);
        } else if (what == "gap") {
            gap_ = {text(hole), text(to)};
            gap_place_ = record.place;
        } else if (what == "part" || what == "lead") {
            table_.pins.push_back({text(name), text(pin), text(hole)});
        } else if (what == "wire") {
            table_.wires.push_back({text(hole), text(to), text(pin) == "insulated"});
        } else if (what == "cut") {
            table_.cuts.push_back(text(hole));
        } else {
            problem(Cause::unknown_name, record.fields[item].place,
                    fmt::format("a plan has no item \"{}\"", what),
                    "its items are board, gap, part, lead, wire, cut");
        }
    }

    void read_board(const CsvRecord& record) {
        const auto kind = board_kind_named(record.fields[name].text);
        if (!kind) {
            problem(Cause::unknown_name, record.fields[name].place,
                    fmt::format("there is no board \"{}\"", record.fields[name].text),
                    "write solderless, strip or grid");
            return;
        }
        // The last hole tells how large the board is.
        constexpr int most = 400;
        const Board all = *kind == BoardKind::solderless
                              ? solderless_board(solderless_rows[1])
                              : plain_board(*kind, most, most / 2, most / 2);
        const auto last = hole_named(all, record.fields[to].text);
        if (!last) {
            problem(
                Cause::out_of_range, record.fields[to].place,
                fmt::format("\"{}\" is no last hole of a {} board", record.fields[to].text,
                            board_kind_word(*kind)),
                *kind == BoardKind::solderless ? "write for example j30" : "write for example M12");
            return;
        }
        board_kind_ = kind;
        last_ = *last;
        board_place_ = record.fields[to].place;
    }

    void finish(const CsvDocument& document) {
        if (!board_kind_ || !gap_) {
            problem(Cause::missing_key, document.header.place,
                    board_kind_ ? "the plan has no row \"gap\"" : "the plan has no row \"board\"",
                    "keep these rows as the build sheet wrote them");
            return;
        }
        if (*board_kind_ == BoardKind::solderless) {
            const int rows = last_.row + 1;
            if (std::ranges::find(solderless_rows, rows) == std::end(solderless_rows)) {
                problem(Cause::out_of_range, board_place_,
                        fmt::format("no solderless board of {} rows is known", rows),
                        "write j30 or j63");
                return;
            }
            table_.board = solderless_board(rows);
            return;
        }
        const Board whole = plain_board(*board_kind_, last_.row + 1, last_.column + 1, 1);
        const auto left = hole_named(whole, gap_->first);
        const auto right = hole_named(whole, gap_->second);
        if (!left || !right || right->column - left->column != gap_width) {
            problem(Cause::out_of_range, gap_place_,
                    fmt::format("the gap from {} to {} is not {} pitches wide on the board",
                                gap_->first, gap_->second, gap_width),
                    "keep this row as the build sheet wrote it");
            return;
        }
        table_.board = plain_board(*board_kind_, last_.row + 1, left->column + 1,
                                   last_.column + 1 - right->column);
    }

    PlanTable table_;
    Problems problems_;
    std::optional<BoardKind> board_kind_;
    Hole last_;
    Place board_place_;
    std::optional<std::pair<std::string, std::string>> gap_;
    Place gap_place_;
};

// The last hole of the last row that is no rail's.
Hole last_hole(const Board& board) {
    Hole last{board.columns - 1, board.rows - 1};
    if (board.kind == BoardKind::solderless) last.column = board.gap_right + solderless_holes - 1;
    return last;
}

}  // namespace

std::string plan_csv(const Plan& plan, const Wiring& wiring) {
    const Board& board = plan.board;
    const PlanTable table = table_of(plan, wiring);
    std::string csv = fmt::format("{}\r\n", fmt::join(columns, ","));
    Hole first = last_hole(board);
    first.row = 0;
    first.column = board.kind == BoardKind::solderless ? board.gap_left - solderless_holes + 1 : 0;
    csv += csv_line({"board", std::string(board_kind_word(board.kind)), "", hole_name(board, first),
                     hole_name(board, last_hole(board)), "", ""});
    csv += csv_line({"gap", "", "", hole_name(board, {board.gap_left, 0}),
                     hole_name(board, {board.gap_right, 0}), "", ""});
    std::size_t k = 0;
    for (const auto& part : wiring.parts) {
        const bool lead = part.footprint.body == Body::leads;
        for (const auto& pin : part.pins) {
            csv += csv_line({lead ? "lead" : "part", part.name, pin.name, table.pins[k++].hole, "",
                             pin.node ? wiring.nodes[*pin.node].name : "", ""});
        }
    }
    for (std::size_t w = 0; w < plan.wires.size(); ++w) {
        const PlanWire& wire = plan.wires[w];
        csv += csv_line({"wire", fmt::format("wire {}", w + 1), wire.insulated ? "insulated" : "",
                         table.wires[w].from, table.wires[w].to, wiring.nodes[wire.node].name,
                         fmt::format("{:.1f} mm", length_of(wire) * 1e3)});
    }
    for (const auto& cut : table.cuts) csv += csv_line({"cut", "", "", cut, "", "", ""});
    return csv;
}

Expected<PlanTable> read_plan_csv(std::shared_ptr<const SourceText> text) {
    const auto document = read_csv(std::move(text));
    if (!document) return std::unexpected(document.error());
    return PlanReader().read(*document);
}

}  // namespace gapwright
