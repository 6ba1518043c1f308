// What lies in the folder, and what to begin new links with.
#pragma once

#include <string>
#include "page/refusal.hpp"
#include "page/workspace.hpp"
#include "report/json/ordered_json.hpp"

namespace gapwright {

// FolderView of the contract.
Json folder_view(Workspace& workspace);

// Makes the link file that a NewLink asks for; its id. Errors: a name that no file may have, a file
// that is there already, a source that is not known.
Answered<std::string> make_new_link(Workspace& workspace, const Json& order);

}  // namespace gapwright
