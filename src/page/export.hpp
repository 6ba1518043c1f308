// What the page hands over as files.
#pragma once

#include <map>
#include <string>

#include "page/open_link.hpp"
#include "page/refusal.hpp"
#include "page/workspace.hpp"
#include "service/exchange.hpp"

namespace gapwright {

// By `what`: report, check, link, parts, nodes, plan, build, sheet, readings, or picture with
// `name` and `as` (svg, png, pdf); `board` for those of a build. Errors: no such thing; what the
// work says.
Answered<Reply> export_of(Workspace& workspace, OpenLink& link,
                          const std::map<std::string, std::string>& query);

}  // namespace gapwright
