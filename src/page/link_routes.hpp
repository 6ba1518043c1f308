// Questions about one link: /api/links/ID/… of the contract.
#pragma once

#include <stop_token>
#include <string>
#include <string_view>

#include "page/open_link.hpp"
#include "page/refusal.hpp"
#include "page/workspace.hpp"
#include "report/json/ordered_json.hpp"
#include "service/exchange.hpp"

namespace gapwright {

// `action` is what follows the id: "", "try", "edit" …. Errors: 404 for no such action.
Answered<Reply> answer_about_link(Workspace& workspace, const std::string& id,
                                  std::string_view action, const Request& request,
                                  const std::stop_token& stop);

// The link as its screen shows it, in that state.
Json present_view(Workspace& workspace, OpenLink& link, const std::string& state);

}  // namespace gapwright
