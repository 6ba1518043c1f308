#include <string_view>
#include "design/design.hpp"

namespace gapwright {

std::string_view character_name(Character character) {
    switch (character) {
        case Character::first_choice:
            return "first choice";
        case Character::most_stretch:
            return "most stretch";
        case Character::fewest_parts:
            return "fewest parts";
        case Character::least_current:
            return "least current";
        case Character::from_drawer:
            return "only from the drawer";
        case Character::other_gap:
            break;
    }
    return "another kind of gap";
}

}  // namespace gapwright
