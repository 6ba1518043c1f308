#include "chart/legend_samples.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/ink_map.hpp"

namespace gapwright {
namespace {

// Own choices, in pixels unless told.
constexpr double inked = 0.3;                   // darkness of a piece's pixels
constexpr double shortest = 13, longest = 100;  // of samples
constexpr double thickest = 9;
constexpr double longest_dash = 24, widest_gap = 14;    // of dashed samples
constexpr double level = 1.5;                           // from end to end, or dash to dash
constexpr double free_end = 7;                          // of paper beyond a sample's ends
constexpr double nearest_text = 2, farthest_text = 32;  // from a sample's end
constexpr double aside_text = 7;                        // of its middle from the sample's
constexpr double smallest_letter = 6, largest_letter = 30;
constexpr double between_letters = 16;
constexpr double around = 4;  // of a legend without a frame
constexpr double to_frame = 22;

// Ink that hangs together.
struct Piece {
    PixelBox box = {};
    int count = 0;
    double left_y = 0, right_y = 0;  // mean height of its first and last three columns

    [[nodiscard]] double width() const { return box.right - box.left + 1; }
    [[nodiscard]] double height() const { return box.bottom - box.top + 1; }
    [[nodiscard]] double middle() const { return 0.5 * (box.top + box.bottom); }
};

std::vector<Piece> pieces_of(const CurveInk& dark, const ChartScale& scale, const ChartArea& area) {
    const int width = dark.ink.width(), height = dark.ink.height();
    const auto index = [&](int x, int y) {
        return static_cast<std::size_t>(y) * static_cast<std::size_t>(width) +
               static_cast<std::size_t>(x);
    };
    std::vector<std::uint8_t> open(static_cast<std::size_t>(width) *
                                   static_cast<std::size_t>(height));
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            const bool ink = dark.ink.at(x, y) > inked;
            open[index(x, y)] =
                ink && area.holds(scale.to_fraction({.x = double(x), .y = double(y)})) ? 1 : 0;
        }
    }
    std::vector<Piece> pieces;
    std::vector<std::pair<int, int>> stack, all;
    for (int y0 = 0; y0 < height; ++y0) {
        for (int x0 = 0; x0 < width; ++x0) {
            if (open[index(x0, y0)] == 0) continue;
            open[index(x0, y0)] = 0;
            stack = {{x0, y0}};
            all.clear();
            Piece piece{.box = {.left = double(x0),
                                .top = double(y0),
                                .right = double(x0),
                                .bottom = double(y0)}};
            while (!stack.empty()) {
                const auto [x, y] = stack.back();
                stack.pop_back();
                all.emplace_back(x, y);
                piece.box.left = std::min(piece.box.left, double(x));
                piece.box.right = std::max(piece.box.right, double(x));
                piece.box.top = std::min(piece.box.top, double(y));
                piece.box.bottom = std::max(piece.box.bottom, double(y));
                for (int v = std::max(0, y - 1); v <= std::min(height - 1, y + 1); ++v) {
                    for (int u = std::max(0, x - 1); u <= std::min(width - 1, x + 1); ++u) {
                        if (open[index(u, v)] == 0) continue;
                        open[index(u, v)] = 0;
                        stack.emplace_back(u, v);
                    }
                }
            }
            piece.count = static_cast<int>(all.size());
            if (piece.count < 4) continue;
            double first = 0, last = 0, firsts = 0, lasts = 0;
            for (const auto& [x, y] : all) {
                if (x < piece.box.left + 3) {
                    first += y;
                    firsts += 1;
                }
                if (x > piece.box.right - 3) {
                    last += y;
                    lasts += 1;
                }
            }
            piece.left_y = first / firsts;
            piece.right_y = last / lasts;
            pieces.push_back(piece);
        }
    }
    return pieces;
}

// Blurred letters may hang together; what is low and wide is a dash.
bool is_letter(const Piece& piece) {
    const bool upright = piece.width() <= 2.2 * piece.height();
    return piece.height() >= smallest_letter && piece.height() <= largest_letter &&
           (upright || piece.height() >= 1.3 * smallest_letter) &&
           piece.width() <= 1.6 * largest_letter && piece.count >= 6;
}

// A stroke is as thick as it is high, a word is not.
bool is_even(const Piece& piece) {
    return piece.height() <= 1.6 * piece.count / piece.width() + 1.2;
}

// A stroke that is short and level, or dashes that stand in one.
std::vector<Piece> level_strokes(const std::vector<Piece>& pieces) {
    std::vector<Piece> strokes, dashes;
    for (const Piece& piece : pieces) {
        const bool thin = piece.height() <= thickest && piece.width() >= 2.5 * piece.height();
        const bool flat = std::abs(piece.left_y - piece.right_y) <= level;
        if (!flat || !is_even(piece)) continue;
        if (thin && piece.width() >= shortest && piece.width() <= longest) {
            strokes.push_back(piece);
        }
        if (piece.height() <= 0.7 * thickest && piece.width() <= longest_dash) {
            dashes.push_back(piece);
        }
    }
    std::ranges::sort(dashes, {}, [](const Piece& piece) { return piece.box.left; });
    std::vector<bool> used(dashes.size());
    for (std::size_t k = 0; k < dashes.size(); ++k) {
        if (used[k]) continue;
        Piece chain = dashes[k];
        int links = 1;
        double last_y = chain.right_y;
        for (std::size_t j = k + 1; j < dashes.size(); ++j) {
            const Piece& next = dashes[j];
            if (next.box.left - chain.box.right > widest_gap) break;
            if (used[j] || next.box.left <= chain.box.right) continue;
            if (std::abs(next.left_y - last_y) > level) continue;
            used[j] = true;
            ++links;
            chain.box.right = next.box.right;
            chain.box.top = std::min(chain.box.top, next.box.top);
            chain.box.bottom = std::max(chain.box.bottom, next.box.bottom);
            chain.right_y = last_y = next.right_y;
            chain.count += next.count;
        }
        const bool flat = std::abs(chain.left_y - chain.right_y) <= level;
        if (links > 1 && flat && chain.width() >= shortest && chain.width() <= longest) {
            strokes.push_back(chain);
        }
    }
    return strokes;
}

// The letters of one line that begin beside an end; nothing with fewer than two.
std::optional<PixelBox> text_beside(const Piece& stroke, const std::vector<Piece>& pieces,
                                    bool right) {
    std::vector<const Piece*> letters;
    for (const Piece& piece : pieces) {
        const bool beside = right ? piece.box.left > stroke.box.right + nearest_text - 1
                                  : piece.box.right < stroke.box.left - nearest_text + 1;
        if (beside && is_letter(piece) &&
            std::abs(piece.middle() - stroke.middle()) <= aside_text + 0.25 * piece.height()) {
            letters.push_back(&piece);
        }
    }
    const auto way = [&](const Piece* piece) {
        return right ? piece->box.left - stroke.box.right : stroke.box.left - piece->box.right;
    };
    std::ranges::sort(letters, {}, way);
    std::optional<PixelBox> box;
    int count = 0;
    double end = 0;
    for (const Piece* letter : letters) {
        if (way(letter) - end > (box ? between_letters : farthest_text)) break;
        if (!box) box = letter->box;
        box->left = std::min(box->left, letter->box.left);
        box->right = std::max(box->right, letter->box.right);
        box->top = std::min(box->top, letter->box.top);
        box->bottom = std::max(box->bottom, letter->box.bottom);
        end = way(letter) + letter->width();
        ++count;
    }
    return count >= 2 ? box : std::nullopt;
}

// Paper beyond an end, with no grid line that could hide where a curve goes on.
bool is_free(const CurveInk& dark, const Piece& stroke, bool right) {
    for (double way = 2; way <= free_end; way += 1) {
        const double x = right ? stroke.box.right + way : stroke.box.left - way;
        for (double aside = -2; aside <= 2; aside += 1) {
            const PixelPoint at = {.x = x, .y = stroke.middle() + aside};
            if (dark.grid.between(at) > 0.5) return false;
            if (dark.ink.between(at) > inked && way < 4) return false;
        }
    }
    return true;
}

// Whether it is one dash of many: another one goes on beyond its end.
bool goes_on(const Piece& stroke, const std::vector<Piece>& pieces) {
    constexpr double farthest = 24, aside = 7;
    return std::ranges::any_of(pieces, [&](const Piece& piece) {
        const double gap =
            std::max(piece.box.left - stroke.box.right, stroke.box.left - piece.box.right);
        return gap > 0 && gap <= farthest && piece.width() >= 4 && is_even(piece) &&
               piece.width() >= 1.5 * piece.height() && piece.height() <= thickest &&
               std::abs(piece.middle() - stroke.middle()) <= aside;
    });
}

void widen(PixelBox& box, const PixelBox& other) {
    box.left = std::min(box.left, other.left);
    box.right = std::max(box.right, other.right);
    box.top = std::min(box.top, other.top);
    box.bottom = std::max(box.bottom, other.bottom);
}

// The part of a line from one place to another that has ink.
double part_inked(const CurveInk& dark, PixelPoint from, PixelPoint to) {
    const int steps = std::max(1, static_cast<int>(std::hypot(to.x - from.x, to.y - from.y)));
    int count = 0;
    for (int k = 0; k <= steps; ++k) {
        const double f = static_cast<double>(k) / steps;
        const PixelPoint at = {.x = from.x + f * (to.x - from.x),
                               .y = from.y + f * (to.y - from.y)};
        count += std::max(dark.ink.between(at), dark.grid.between(at)) > inked ? 1 : 0;
    }
    return static_cast<double>(count) / (steps + 1);
}

// Out to a line on each side, where there is one on all four.
PixelBox with_frame(const CurveInk& dark, const PixelBox& box) {
    PixelBox frame = box;
    bool all = true;
    const auto look = [&](double& edge, double direction, bool upright) {
        for (double way = 2; way <= to_frame; way += 0.5) {
            const double at = edge + direction * way;
            const PixelPoint from =
                upright ? PixelPoint{.x = at, .y = box.top} : PixelPoint{.x = box.left, .y = at};
            const PixelPoint to = upright ? PixelPoint{.x = at, .y = box.bottom}
                                          : PixelPoint{.x = box.right, .y = at};
            if (part_inked(dark, from, to) < 0.92) continue;
            edge = at + 2 * direction;
            return;
        }
        all = false;
    };
    look(frame.left, -1, true);
    look(frame.right, 1, true);
    look(frame.top, -1, false);
    look(frame.bottom, 1, false);
    if (all) return frame;
    return {.left = box.left - around,
            .top = box.top - around,
            .right = box.right + around,
            .bottom = box.bottom + around};
}

// Rows of one legend stand below one another, with samples of one length.
bool is_row_of(const Legend& legend, const PixelBox& sample, const PixelBox& row) {
    constexpr double aligned = 5, uneven = 9, apart = 40;
    const PixelBox& first = legend.samples.front();
    return std::abs(first.left - sample.left) < aligned &&
           std::abs(first.right - sample.right) < uneven && row.top - legend.whole.bottom < apart &&
           legend.whole.top - row.bottom < apart;
}

}  // namespace

std::vector<Legend> find_legends(const CurveInk& dark, const ChartScale& scale,
                                 const ChartArea& area) {
    const std::vector<Piece> pieces = pieces_of(dark, scale, area);
    const std::vector<Piece> strokes = level_strokes(pieces);
    std::vector<Legend> legends;
    std::vector<bool> taken(strokes.size());
    // First those that nothing touches; then what stands in line with them, and may lie beside a
    // curve.
    for (const bool in_line : {false, true}) {
        for (std::size_t k = 0; k < strokes.size(); ++k) {
            const Piece& stroke = strokes[k];
            const bool alone = is_free(dark, stroke, true) && is_free(dark, stroke, false) &&
                               !goes_on(stroke, pieces);
            if (taken[k] || (!in_line && !alone)) continue;
            auto text = text_beside(stroke, pieces, true);
            if (!text) text = text_beside(stroke, pieces, false);
            if (!text) continue;
            PixelBox row = *text;
            widen(row, stroke.box);
            const auto same = std::ranges::find_if(
                legends, [&](const Legend& other) { return is_row_of(other, stroke.box, row); });
            if (same != legends.end()) {
                same->samples.push_back(stroke.box);
                widen(same->whole, row);
            } else if (!in_line) {
                legends.push_back({.samples = {stroke.box}, .whole = row});
            } else {
                continue;
            }
            taken[k] = true;
        }
    }
    for (Legend& legend : legends) legend.whole = with_frame(dark, legend.whole);
    return legends;
}

}  // namespace gapwright
