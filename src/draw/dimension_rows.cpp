#include "draw/dimension_rows.hpp"

#include <algorithm>
#include <cstddef>
#include <limits>
#include <numeric>
#include <utility>
#include <vector>

#include "draw/dimension_line.hpp"
#include "draw/picture.hpp"

namespace gapwright {
namespace {

constexpr double size = 11;
constexpr double beside = 4;  // between an arrow and a label beside it

// What is disliked, against one row more.
constexpr double of_text_struck = 20;  // by an extension line
constexpr double of_line_crossed = 0.4;
constexpr double of_text_beside = 0.6;

struct Placed {
    const DimensionSpan* span;
    DimensionPlace place;
    double dislike;
};

bool crosses(double x, double left, double right) {
    return x > left && x < right;
}

std::pair<double, double> reaches(const Placed& p) {
    const double reach = head_reach(p.span->right - p.span->left);
    return {p.span->left - reach, p.span->right + reach};
}

// Whether two dimensions of one row would touch. Lines that share an end are a chain, and may.
bool collide(const Placed& a, const Placed& b) {
    constexpr double clear = 4;
    const auto apart = [](double a_low, double a_high, double b_low, double b_high) {
        return a_high <= b_low || b_high <= a_low;
    };
    const auto [a_left, a_right] = reaches(a);
    const auto [b_left, b_right] = reaches(b);
    const auto& s = a.place;
    const auto& t = b.place;
    return !apart(a_left, a_right, b_left, b_right) ||
           !apart(a_left - clear, a_right + clear, t.text_left, t.text_right) ||
           !apart(s.text_left, s.text_right, b_left - clear, b_right + clear) ||
           !apart(s.text_left - clear, s.text_right + clear, t.text_left, t.text_right);
}

// What it costs that the extension lines of `above` run through the row of `below`.
double dislike_between(const Placed& below, const Placed& above) {
    constexpr double clear = 2;
    double sum = 0;
    const auto [left, right] = reaches(below);
    for (const double x : {above.span->left, above.span->right}) {
        if (crosses(x, below.place.text_left - clear, below.place.text_right + clear)) {
            sum += of_text_struck;
        } else if (crosses(x, left, right)) {
            sum += of_line_crossed;
        }
    }
    return sum;
}

// Over the middle, then to the right, then to the left: those that fit between the limits.
std::vector<Placed> places_of(const DimensionSpan& span, double left, double right) {
    const double width = text_width(span.label, size);
    const double reach = head_reach(span.right - span.left) + beside;
    const double middle = (span.left + span.right - width) / 2;
    std::vector<Placed> places;
    for (const double at : {middle, span.right + reach, span.left - reach - width}) {
        if (at < left || at + width > right) continue;
        places.push_back({&span, {0, at, at + width}, at == middle ? 0 : of_text_beside});
    }
    const double held = std::clamp(middle, left, std::max(left, right - width));
    if (places.empty()) places.push_back({&span, {0, held, held + width}, 0});
    return places;
}

// One way to go about it: the spans in an order, and for each the texts that it may take.
struct Attempt {
    std::vector<std::size_t> order;
    std::vector<std::vector<Placed>> texts;
};

// Each span in turn where it is liked best among those before it; and the sum of dislikes. Gives
// up, with a sum of at least `most`, when it comes to that.
std::pair<std::vector<DimensionPlace>, double> placed_by(const Attempt& attempt, double most) {
    constexpr double of_height = 0.1;  // for each row between a line and what it dimensions
    std::vector<Placed> placed;
    std::vector<DimensionPlace> result(attempt.order.size());
    std::size_t rows = 0;
    double sum = 0;
    for (const std::size_t k : attempt.order) {
        Placed best{.span = nullptr, .place = {}, .dislike = std::numeric_limits<double>::max()};
        for (Placed wanted : attempt.texts[k]) {
            const double own = wanted.dislike;
            for (std::size_t row = 0; row <= rows; ++row) {
                wanted.place.row = row;
                wanted.dislike = own + of_height * static_cast<double>(row) + (row == rows ? 1 : 0);
                bool free = true;
                for (const auto& other : placed) {
                    if (other.place.row == row) {
                        free = free && !collide(wanted, other);
                    } else {
                        wanted.dislike += other.place.row < row ? dislike_between(other, wanted)
                                                                : dislike_between(wanted, other);
                    }
                }
                if (free && wanted.dislike < best.dislike) best = wanted;
            }
        }
        placed.push_back(best);
        result[k] = best.place;
        rows = std::max(rows, best.place.row + 1);
        sum += best.dislike;
        if (sum >= most) break;
    }
    return {std::move(result), sum};
}

// All texts of all spans, or for each span the one that `choice` names, digit by digit.
std::vector<std::vector<Placed>> chosen(const std::vector<std::vector<Placed>>& all,
                                        std::size_t choice) {
    std::vector<std::vector<Placed>> result;
    for (const auto& texts : all) {
        result.push_back({texts[choice % texts.size()]});
        choice /= texts.size();
    }
    return result;
}

}  // namespace

std::vector<DimensionPlace> dimension_rows(const std::vector<DimensionSpan>& spans, double left,
                                           double right) {
    constexpr std::size_t few = 5;  // so many leave few enough ways to try them all
    std::vector<std::vector<Placed>> all;
    std::size_t choices = 1;
    for (const auto& span : spans) {
        all.push_back(places_of(span, left, right));
        choices *= all.back().size();
    }
    Attempt attempt{.order = std::vector<std::size_t>(spans.size()), .texts = all};
    std::iota(attempt.order.begin(), attempt.order.end(), std::size_t{0});
    const auto by_length = [&](std::size_t k) { return spans[k].right - spans[k].left; };
    std::ranges::stable_sort(attempt.order, {}, by_length);
    auto [best, least] = placed_by(attempt, std::numeric_limits<double>::max());
    if (spans.size() > few) return best;
    for (std::size_t choice = 0; choice < choices; ++choice) {
        attempt.texts = chosen(all, choice);
        std::ranges::sort(attempt.order);
        do {
            auto [places, dislike] = placed_by(attempt, least);
            if (dislike >= least) continue;
            least = dislike;
            best = std::move(places);
        } while (std::ranges::next_permutation(attempt.order).found);
    }
    return best;
}

}  // namespace gapwright
