#include "chart/ink_map.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <vector>

#include "chart/axis_scale.hpp"
#include "chart/paper_tone.hpp"

namespace gapwright {
namespace {

// Own choices.
constexpr double darkest = 1.6, too_dark = 2.4;  // times an ink's contrast: still it, another one

}  // namespace

InkTone widest_tone(const Tone& tone) {
    return {.tone = tone, .spread = 0.3};
}

InkTone tone_along(const ToneMap& tones, PixelPoint at, PixelPoint heading) {
    constexpr double half = 9;  // px of the stroke to either side
    // The strongest pixel across, every 1.5 px along.
    std::vector<Tone> seen;
    for (double way = -half; way <= half; way += 1.5) {
        Tone best{};
        for (double aside = -1.5; aside <= 1.5; aside += 0.75) {
            const auto x = std::lround(at.x + way * heading.x - aside * heading.y);
            const auto y = std::lround(at.y + way * heading.y + aside * heading.x);
            if (x < 0 || y < 0 || x >= tones.width() || y >= tones.height()) continue;
            const Tone& here = tones.at(static_cast<int>(x), static_cast<int>(y));
            if (dot(here, here) > dot(best, best)) best = here;
        }
        if (dot(best, best) >= 0.25 * least_contrast * least_contrast) seen.push_back(best);
    }
    InkTone like;
    if (seen.empty()) return like;
    // Of each channel the middle one, so that a crossing line does not count; as strong as the
    // stronger ones, since thin lines are weakest between two rows of pixels.
    std::vector<double> strengths;
    for (std::size_t channel = 0; channel < 3; ++channel) {
        std::vector<float> values;
        for (const Tone& tone : seen) values.push_back(tone[channel]);
        std::ranges::sort(values);
        like.tone[channel] = values[values.size() / 2];
    }
    const double size = std::sqrt(dot(like.tone, like.tone));
    std::vector<double> turns;
    for (const Tone& tone : seen) {
        const double along = dot(tone, like.tone) / size;
        const double aside = std::sqrt(std::max(0.0, dot(tone, tone) - along * along));
        turns.push_back(aside / std::max(along, 0.25 * size));
        strengths.push_back(along);
    }
    std::ranges::sort(turns);
    std::ranges::sort(strengths);
    const double strength = strengths[strengths.size() * 3 / 4];
    for (float& channel : like.tone) channel *= static_cast<float>(strength / size);
    like.spread = std::clamp(0.1 + 2.5 * turns[turns.size() * 3 / 4], 0.12, 0.3);
    return like;
}

Plane ink_like(const ToneMap& tones, const InkTone& like) {
    const double length = dot(like.tone, like.tone);
    Plane ink(tones.width(), tones.height());
    for (int y = 0; y < tones.height(); ++y) {
        for (int x = 0; x < tones.width(); ++x) {
            const Tone& here = tones.at(x, y);
            const double part = dot(here, like.tone) / length;
            if (part <= 0.02) continue;
            const double aside = std::sqrt(std::max(0.0, dot(here, here) / length - part * part));
            const double turn = aside / std::max(part, 0.25) / like.spread;
            if (turn > 3) continue;
            const double dark = std::clamp((too_dark - part) / (too_dark - darkest), 0.0, 1.0);
            ink.at(x, y) = static_cast<float>(std::min(part, 1.0) * std::exp(-turn * turn) * dark);
        }
    }
    return ink;
}

Plane darkness_of(const ToneMap& tones) {
    constexpr double full = 160;  // of contrast
    Plane dark(tones.width(), tones.height());
    for (int y = 0; y < tones.height(); ++y) {
        for (int x = 0; x < tones.width(); ++x) {
            const Tone& here = tones.at(x, y);
            dark.at(x, y) = static_cast<float>(std::min(1.0, std::sqrt(dot(here, here)) / full));
        }
    }
    return dark;
}

}  // namespace gapwright
