// Quantities of measured points as the page states them.
#pragma once

#include <functional>
#include <map>
#include <string>

#include "card/points.hpp"
#include "page/refusal.hpp"
#include "report/json/ordered_json.hpp"

namespace gapwright {

// `where` begins the message of an error.
Answered<double> point_quantity(const PointQuantity& rule, const std::string& text,
                                const std::string& where);

// The `settings` of an order: what held for all points. Empty texts are passed over.
Answered<std::map<std::string, double, std::less<>>> point_settings(const Json& order);

}  // namespace gapwright
