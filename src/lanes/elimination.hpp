// Gaussian elimination of a sparse system, worked out once so that it can be repeated for many
// systems of the same pattern without looking at their numbers.
//
// Entries that stay as they are while one system is iterated (those of resistances and sources) are
// told apart from those that change with every step (those of junctions). Pivots whose row and
// column hold only the former are taken first; that part is done once a system, the rest at every
// step. Pivots are chosen for few new entries (Markowitz 1957) among those that are not small in
// their row at a sample of the numbers.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

namespace gapwright {

// Index of an entry of the matrix, of a row, a column or a pivot, as the steps store them.
using Index16 = std::uint16_t;

// The entry that stands for all that is not in the matrix: rows and columns of the return. Row 0
// and column 0 likewise; x[0] is always zero.
inline constexpr Index16 nowhere = 0;

struct MatrixEntry {
    Index16 row;
    Index16 column;
    bool changes = false;     // with every step of the iteration
    double constant = 0;      // what it always holds, besides what a specimen's figures add
    bool has_figure = false;  // a specimen's figures add to it
    double sample = 0;        // its value at the sample
    bool avoid = false;       // as a pivot, where another can be had
};

// Elimination with one pivot. The pivot's row, then the rows that it is taken out of, lie in
// Elimination::indices from `first` on:
//   pivot row:     `columns` pairs (entry, column)
//   then `rows` times: (entry in the pivot's column, row), then `columns` entries to change
struct PivotStep {
    Index16 entry;
    Index16 row;
    Index16 column;
    Index16 columns;  // entries of the pivot's row besides the pivot
    Index16 rows;     // entries of the pivot's column besides the pivot
    bool unit;        // the pivot is always +1 or −1: its own reciprocal
    std::uint32_t first;
};

struct Elimination {
    std::size_t unknowns = 0;               // without the return; indices run from 1
    std::vector<MatrixEntry> entries;       // entry 0 is `nowhere`
    std::vector<PivotStep> constant_steps;  // once a system
    std::vector<PivotStep> changing_steps;  // at every step of the iteration
    std::vector<Index16> indices;
    std::vector<Index16> live_entries;    // those that the changing steps read
    std::vector<Index16> spoilt_entries;  // and of these, those that a step leaves changed
    std::vector<Index16> live_rows;

    std::size_t steps() const { return constant_steps.size() + changing_steps.size(); }
};

// Works out the steps. `entries` need not hold entry 0; doubles of one place are added up. Returns
// nothing where no pivot of usable size is left: the sample is singular.
std::optional<Elimination> plan_elimination(std::size_t unknowns,
                                            const std::vector<MatrixEntry>& entries);

// The entry at a place; `nowhere` for row or column 0. Requires that the entry exists.
Index16 entry_at(const Elimination& elimination, std::size_t row, std::size_t column);

}  // namespace gapwright
