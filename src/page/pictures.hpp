// Pictures for the page, which has their style sheet. NamedPicture[] of the contract.
#pragma once

#include "page/json.hpp"
#include "report/html_report.hpp"

namespace gapwright {

Json picture_list(const std::vector<NamedPicture>& pictures);

}  // namespace gapwright
