#include "page/pictures.hpp"
#include <vector>
#include "report/html/html_report.hpp"
#include "report/json/ordered_json.hpp"

namespace gapwright {

Json picture_list(const std::vector<NamedPicture>& pictures) {
    Json list = Json::array();
    for (const auto& picture : pictures) {
        list.push_back({{"name", picture.name},
                        {"caption", picture.caption},
                        {"svg", picture.picture.svg(false)}});
    }
    return list;
}

}  // namespace gapwright
