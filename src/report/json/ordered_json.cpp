#include "report/json/ordered_json.hpp"

template class nlohmann::basic_json<nlohmann::ordered_map>;
