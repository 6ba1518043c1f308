// The steps of an elimination carried out in lanes. Included only by the kernels' files.
#pragma once

#include <cstddef>
#include "lanes/elimination.hpp"

namespace gapwright {

// Takes the pivots of `count` steps out of the rows below them, in matrix and right side. Keeps
// each pivot's reciprocal.
template <class L>
void eliminate(const Elimination& plan, const PivotStep* steps, std::size_t count, L* entries,
               L* right, L* reciprocals) {
    for (std::size_t p = 0; p < count; ++p) {
        const PivotStep& step = steps[p];
        const Index16* pivot_row = plan.indices.data() + step.first;
        const Index16* at = pivot_row + std::size_t{2} * step.columns;
        const L reciprocal = step.unit ? entries[step.entry] : L(1.0) / entries[step.entry];
        reciprocals[p] = reciprocal;
        for (std::size_t r = 0; r < step.rows; ++r) {
            const L share = entries[at[0]] * reciprocal;
            L& below = right[at[1]];
            below = minus_product(below, share, right[step.row]);
            at += 2;
            for (std::size_t c = 0; c < step.columns; ++c) {
                L& target = entries[at[c]];
                target = minus_product(target, share, entries[pivot_row[2 * c]]);
            }
            at += step.columns;
        }
    }
}

// What those steps do to another right side, once they have been carried out.
template <class L>
void carry(const Elimination& plan, const PivotStep* steps, std::size_t count, const L* entries,
           const L* reciprocals, L* right) {
    for (std::size_t p = 0; p < count; ++p) {
        const PivotStep& step = steps[p];
        const Index16* at = plan.indices.data() + step.first + std::size_t{2} * step.columns;
        for (std::size_t r = 0; r < step.rows; ++r) {
            L& below = right[at[1]];
            below = minus_product(below, entries[at[0]] * reciprocals[p], right[step.row]);
            at += 2 + step.columns;
        }
    }
}

// The unknowns of those steps, once all later ones are known.
template <class L>
void substitute(const Elimination& plan, const PivotStep* steps, std::size_t count,
                const L* entries, const L* right, const L* reciprocals, L* x) {
    for (std::size_t p = count; p-- > 0;) {
        const PivotStep& step = steps[p];
        const Index16* pivot_row = plan.indices.data() + step.first;
        L sum = right[step.row];
        for (std::size_t c = 0; c < step.columns; ++c) {
            sum = minus_product(sum, entries[pivot_row[2 * c]], x[pivot_row[2 * c + 1]]);
        }
        x[step.column] = sum * reciprocals[p];
    }
}

}  // namespace gapwright
