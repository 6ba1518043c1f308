// Names in paths as people choose them, where nothing of that name is declared. Internal to the
// layer.
#pragma once

#include <string>
#include <string_view>

namespace gapwright::reading {

// The remedy for a name that is no part and leads nowhere: `write return` for "GND", `write supply`
// for "Vcc", and how to declare what is called "switch1" or "Q2". Empty where the name says
// nothing.
std::string remedy_for_name(std::string_view name);

// Whether parts are called so, and no node is: "R7", "LED1", "SW2".
bool is_called_like_a_part(std::string_view name);

// The same for names of supply, return and batteries alone.
std::string remedy_for_rail(std::string_view name);

}  // namespace gapwright::reading
