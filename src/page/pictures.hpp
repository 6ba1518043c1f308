// Pictures for the page, which has their style sheet. NamedPicture[] of the contract.
#pragma once

#include <vector>
#include "report/html/html_report.hpp"
#include "report/json/ordered_json.hpp"

namespace gapwright {

Json picture_list(const std::vector<NamedPicture>& pictures);

}  // namespace gapwright
