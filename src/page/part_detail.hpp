// What there is to know of one part of a link: its worked steps, its share in each promise's
// spread, and what else could stand there. PartDetail of the contract.
#pragma once

#include <stop_token>
#include <string>
#include <vector>
#include "page/fields.hpp"
#include "page/judged.hpp"
#include "page/refusal.hpp"
#include "report/json/ordered_json.hpp"

namespace gapwright {

// Requires a proof. Other choices are proven, which takes some hundredths of a second each. Errors:
// no such part; stopped.
Answered<Json> part_detail(const Judged& judged, const std::string& part,
                           const std::vector<CardChoice>& cards, const std::stop_token& stop);

}  // namespace gapwright
