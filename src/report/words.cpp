#include "report/words.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "units/engineering.hpp"

namespace gapwright {

std::string_view verdict_sign(Verdict verdict) {
    switch (verdict) {
        case Verdict::kept:
            return "✓ kept";
        case Verdict::thin:
            return "! thin";
        case Verdict::broken:
            break;
    }
    return "✗ broken";
}

std::string spoken_key(std::string key) {
    std::ranges::replace(key, '_', ' ');
    return key;
}

std::string share_of_spread(double share) {
    constexpr double nearly_all = 0.99;
    return share > nearly_all ? "over 99 %" : percent(share, 2);
}

std::string drawn_specimens(const Proof& proof) {
    if (proof.samples >= proof.asked) return fmt::format("{}", proof.samples);
    return fmt::format("{} of {}", proof.samples, proof.asked);
}

std::string spoken_figure(const std::string& name) {
    std::string text = name;
    if (text.ends_with(".value")) text.resize(text.size() - std::string_view(".value").size());
    if (text.ends_with(".supply.voltage")) {
        text.resize(text.size() - std::string_view(".voltage").size());
    }
    for (char& c : text) {
        if (c == '.' || c == '_') c = ' ';
    }
    return text;
}

}  // namespace gapwright
