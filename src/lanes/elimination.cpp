#include "lanes/elimination.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <utility>
#include <vector>

namespace gapwright {
namespace {

// A pivot may be this small against the largest entry of its row. One on the diagonal may be
// smaller: there stands the sum of all conductances at a node, whatever a device's tangent does on
// the way to the solution.
constexpr double least_share = 0.1;
// (A resistance stands on the diagonal of its own equation: that is none of these.)
constexpr double least_diagonal_share = 1e-3;

// A difference this small against what it was made of is rounding: as a pivot it would be nothing.
constexpr double cancelled = 1e-13;

// What makes one pivot better than another; the lowest is best.
struct Rank {
    std::size_t new_entries = 0;
    bool off_diagonal = false;
    double smallness = 0;
    auto operator<=>(const Rank&) const = default;
};

class Planner {
  public:
    // Careful: a resistance as a pivot adds its conductance to nodes, beside which that of a
    // blocked junction is lost when it is taken away again. It is then left for last.
    Planner(std::size_t unknowns, const std::vector<MatrixEntry>& entries, bool careful)
        : careful_(careful), row_left_(unknowns + 1, true), column_left_(unknowns + 1, true) {
        result_.unknowns = unknowns;
        result_.entries.push_back({.row = 0, .column = 0});
        row_left_[0] = column_left_[0] = false;
        for (const auto& e : entries) {
            MatrixEntry& here = result_.entries[at(e.row, e.column)];
            here.changes = here.changes || e.changes;
            here.has_figure = here.has_figure || e.has_figure;
            here.avoid = here.avoid || e.avoid;
            here.constant += e.constant;
            here.sample += e.sample;
        }
        touched_.assign(result_.entries.size(), false);
        size_.assign(result_.entries.size(), 0.0);
    }

    std::optional<Elimination> run() {
        while (const auto pivot = best_pivot(true, false)) {
            eliminate(*pivot, result_.constant_steps);
        }
        note_live();
        const std::size_t made_from = result_.entries.size();
        while (true) {
            auto pivot = best_pivot(false, false);
            if (!pivot) pivot = best_pivot(false, true);
            if (!pivot) break;
            eliminate(*pivot, result_.changing_steps);
        }
        // Entries that these steps make start each step from nothing: they are live too.
        for (std::size_t k = made_from; k < result_.entries.size(); ++k) {
            result_.live_entries.push_back(static_cast<Index16>(k));
        }
        if (result_.steps() < result_.unknowns) return std::nullopt;
        note_spoilt();
        return std::move(result_);
    }

  private:
    // The entry at a place, made where there is none.
    Index16 at(Index16 row, Index16 column) {
        if (row == 0 || column == 0) return nowhere;
        const auto [found, made] =
            places_.try_emplace({row, column}, static_cast<Index16>(result_.entries.size()));
        if (made) {
            result_.entries.push_back({.row = row, .column = column});
            touched_.push_back(true);
            size_.push_back(0.0);
        }
        return found->second;
    }

    std::vector<Index16> in_row(Index16 row) const {
        std::vector<Index16> found;
        for (const auto& [place, entry] : places_) {
            if (place.first == row && column_left_[place.second]) found.push_back(entry);
        }
        return found;
    }
    std::vector<Index16> in_column(Index16 column) const {
        std::vector<Index16> found;
        for (const auto& [place, entry] : places_) {
            if (place.second == column && row_left_[place.first]) found.push_back(entry);
        }
        return found;
    }
    // What is left of a row or column.
    struct Line {
        std::size_t entries = 0;
        bool changes = false;
        double largest = 0;  // of the samples
    };
    struct Lines {
        std::vector<Line> rows;
        std::vector<Line> columns;
    };
    Lines lines_left() const {
        Lines lines{std::vector<Line>(row_left_.size()), std::vector<Line>(column_left_.size())};
        for (const auto& [place, entry] : places_) {
            if (!row_left_[place.first] || !column_left_[place.second]) continue;
            const MatrixEntry& e = result_.entries[entry];
            for (Line* line : {&lines.rows[place.first], &lines.columns[place.second]}) {
                ++line->entries;
                line->changes = line->changes || e.changes;
                line->largest = std::max(line->largest, std::abs(e.sample));
            }
        }
        return lines;
    }

    // The pivot that makes the fewest new entries, of those large enough in their row.
    std::optional<Index16> best_pivot(bool constant, bool any) const {
        std::optional<Index16> best;
        Rank best_rank;
        const Lines lines = lines_left();
        for (const auto& [place, entry] : places_) {
            const auto [row, column] = place;
            if (!row_left_[row] || !column_left_[column]) continue;
            const MatrixEntry& e = result_.entries[entry];
            if (e.avoid && !any) continue;
            if (careful_ && e.has_figure && !any) continue;
            if (std::abs(e.sample) <= cancelled * size_[entry]) continue;
            const Line& across = lines.rows[row];
            const Line& down = lines.columns[column];
            if (constant && (across.changes || down.changes)) continue;
            const double share = std::abs(e.sample) / across.largest;
            const bool diagonal = row == column && !e.has_figure;
            if (!(share >= (diagonal ? least_diagonal_share : least_share))) continue;
            const Rank rank{.new_entries = (across.entries - 1) * (down.entries - 1),
                            .off_diagonal = !diagonal,
                            .smallness = -share};
            if (best && !(rank < best_rank)) continue;
            best = entry;
            best_rank = rank;
        }
        return best;
    }

    void eliminate(Index16 pivot, std::vector<PivotStep>& steps) {
        const MatrixEntry p = result_.entries[pivot];
        auto across = in_row(p.row);
        auto down = in_column(p.column);
        std::erase(across, pivot);
        std::erase(down, pivot);
        steps.push_back(
            {.entry = pivot,
             .row = p.row,
             .column = p.column,
             .columns = static_cast<Index16>(across.size()),
             .rows = static_cast<Index16>(down.size()),
             .unit = !p.changes && !p.has_figure && !touched_[pivot] && std::abs(p.constant) == 1.0,
             .first = static_cast<std::uint32_t>(result_.indices.size())});
        for (const Index16 e : across) {
            result_.indices.push_back(e);
            result_.indices.push_back(result_.entries[e].column);
        }
        row_left_[p.row] = column_left_[p.column] = false;
        for (const Index16 d : down) {
            const MatrixEntry below = result_.entries[d];
            result_.indices.push_back(d);
            result_.indices.push_back(below.row);
            for (const Index16 e : across) {
                const MatrixEntry beside = result_.entries[e];
                const Index16 target = at(below.row, beside.column);
                MatrixEntry& changed = result_.entries[target];
                changed.changes = changed.changes || below.changes || beside.changes || p.changes;
                const double taken = below.sample / p.sample * beside.sample;
                size_[target] =
                    std::max({size_[target], std::abs(changed.sample), std::abs(taken)});
                changed.sample -= taken;
                touched_[target] = true;
                result_.indices.push_back(target);
            }
        }
    }

    // Entries that devices or the changing steps write to.
    void note_spoilt() {
        std::vector<bool> written(result_.entries.size(), false);
        for (std::size_t k = 0; k < written.size(); ++k) written[k] = result_.entries[k].changes;
        for (const auto& step : result_.changing_steps) {
            std::size_t at = step.first + std::size_t{2} * step.columns;
            for (std::size_t r = 0; r < step.rows; ++r) {
                at += 2;
                for (std::size_t c = 0; c < step.columns; ++c)
                    written[result_.indices[at++]] = true;
            }
        }
        for (const Index16 e : result_.live_entries) {
            if (written[e]) result_.spoilt_entries.push_back(e);
        }
    }

    // What is left after the constant steps.
    void note_live() {
        for (std::size_t row = 1; row <= result_.unknowns; ++row) {
            if (row_left_[row]) result_.live_rows.push_back(static_cast<Index16>(row));
        }
        for (const auto& [place, entry] : places_) {
            if (row_left_[place.first] && column_left_[place.second]) {
                result_.live_entries.push_back(entry);
            }
        }
    }

    bool careful_;
    Elimination result_;
    std::map<std::pair<Index16, Index16>, Index16> places_;
    std::vector<bool> row_left_;
    std::vector<bool> column_left_;
    std::vector<bool> touched_;  // by an earlier step: no longer what it was made with
    std::vector<double> size_;   // by entry: the largest number that went into its sample
};

}  // namespace

std::optional<Elimination> plan_elimination(std::size_t unknowns,
                                            const std::vector<MatrixEntry>& entries) {
    if (auto planned = Planner(unknowns, entries, false).run()) return planned;
    return Planner(unknowns, entries, true).run();
}

Index16 entry_at(const Elimination& elimination, std::size_t row, std::size_t column) {
    if (row == 0 || column == 0) return nowhere;
    const auto found = std::ranges::find_if(elimination.entries, [&](const MatrixEntry& e) {
        return e.row == row && e.column == column;
    });
    return static_cast<Index16>(found - elimination.entries.begin());
}

}  // namespace gapwright
