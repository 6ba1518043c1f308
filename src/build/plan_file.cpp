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
#include <vector>

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

// What the rows "board" and "gap" say; both are looked at once all rows are read.
struct BoardRow {
    BoardKind kind;
    Hole last;
    Place place;
};
struct GapRow {
    std::string left;
    std::string right;
    Place place;
};

Diagnostic problem(Cause cause, const Place& place, std::string message, std::string remedy) {
    return {
        .cause = cause, .place = place, .message = std::move(message), .remedy = std::move(remedy)};
}

std::expected<BoardRow, Diagnostic> board_row(const CsvRecord& record) {
    const CsvField& word = record.fields[name];
    const auto kind = board_kind_named(word.text);
    if (!kind) {
        return std::unexpected(problem(Cause::unknown_name, word.place,
                                       fmt::format("there is no board \"{}\"", word.text),
                                       "write solderless, strip or grid"));
    }
    // The last hole tells how large the board is.
    constexpr int most = 400;
    const Board all = *kind == BoardKind::solderless ? solderless_board(solderless_rows[1])
                                                     : plain_board(*kind, most, most / 2, most / 2);
    const CsvField& end = record.fields[to];
    const auto last = hole_named(all, end.text);
    if (!last) {
        return std::unexpected(problem(
            Cause::out_of_range, end.place,
            fmt::format("\"{}\" is no last hole of a {} board", end.text, board_kind_word(*kind)),
            *kind == BoardKind::solderless ? "write for example j30" : "write for example M12"));
    }
    return BoardRow{*kind, *last, end.place};
}

std::expected<Board, Diagnostic> board_of(const BoardRow& board, const GapRow& gap) {
    const Hole last = board.last;
    if (board.kind == BoardKind::solderless) {
        const int rows = last.row + 1;
        if (std::ranges::find(solderless_rows, rows) != std::end(solderless_rows)) {
            return solderless_board(rows);
        }
        return std::unexpected(problem(Cause::out_of_range, board.place,
                                       fmt::format("no solderless board of {} rows is known", rows),
                                       "write j30 or j63"));
    }
    const Board whole = plain_board(board.kind, last.row + 1, last.column + 1, 1);
    const auto left = hole_named(whole, gap.left);
    const auto right = hole_named(whole, gap.right);
    if (!left || !right || right->column - left->column != gap_width) {
        return std::unexpected(
            problem(Cause::out_of_range, gap.place,
                    fmt::format("the gap from {} to {} is not {} pitches wide on the board",
                                gap.left, gap.right, gap_width),
                    "keep this row as the build sheet wrote it"));
    }
    return plain_board(board.kind, last.row + 1, left->column + 1, last.column + 1 - right->column);
}

Expected<PlanTable> table_in(const CsvDocument& document) {
    Problems problems(document.skipped.begin(), document.skipped.end());
    if (!std::ranges::equal(document.header.fields, columns, {}, &CsvField::text)) {
        problems.push_back(problem(Cause::unknown_key, document.header.place,
                                   "this is no header of a board plan",
                                   fmt::format("its columns are {}", fmt::join(columns, ","))));
        return std::unexpected(std::move(problems));
    }
    PlanTable table;
    std::optional<BoardRow> board;
    std::optional<GapRow> gap;
    for (const auto& record : document.records) {
        const auto text = [&](Column c) { return record.fields[c].text; };
        const std::string what = text(item);
        if (what == "board") {
            const auto read = board_row(record);
            if (read) {
                board = *read;
            } else {
                problems.push_back(read.error());
            }
        } else if (what == "gap") {
            gap = {text(hole), text(to), record.place};
        } else if (what == "part" || what == "lead") {
            table.pins.push_back({text(name), text(pin), text(hole)});
        } else if (what == "wire") {
            table.wires.push_back({text(hole), text(to), text(pin) == "insulated"});
        } else if (what == "cut") {
            table.cuts.push_back(text(hole));
        } else {
            problems.push_back(problem(Cause::unknown_name, record.fields[item].place,
                                       fmt::format("a plan has no item \"{}\"", what),
                                       "its items are board, gap, part, lead, wire, cut"));
        }
    }
    if (!problems.empty()) return std::unexpected(std::move(problems));
    if (!board || !gap) {
        return std::unexpected(Problems{
            problem(Cause::missing_key, document.header.place,
                    board ? "the plan has no row \"gap\"" : "the plan has no row \"board\"",
                    "keep these rows as the build sheet wrote them")});
    }
    const auto whole = board_of(*board, *gap);
    if (!whole) return std::unexpected(Problems{whole.error()});
    table.board = *whole;
    return table;
}

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
    return table_in(*document);
}

}  // namespace gapwright
