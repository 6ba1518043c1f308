// Drawers of the folder: the parts at hand, as a table.
#pragma once

#include <string>

#include "page/refusal.hpp"
#include "page/workspace.hpp"
#include "report/json/ordered_json.hpp"

namespace gapwright {

// DrawerView of the contract, by the id of its file. Errors: 404, 422 where it cannot be read.
Answered<Json> drawer_view(Workspace& workspace, const std::string& id);

// Writes what a DrawerEdit states, over the text that it was made from alone. Returns the view of
// what stands there then. Errors: 404, 409 where the file has changed meanwhile, 422.
Answered<Json> save_drawer(Workspace& workspace, const Json& edit);

}  // namespace gapwright
