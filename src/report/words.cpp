#include "report/words.hpp"

#include <algorithm>

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

}  // namespace gapwright
