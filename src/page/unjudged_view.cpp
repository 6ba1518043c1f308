#include "page/unjudged_view.hpp"

#include <cstddef>
#include <string>

#include "draw/schematic.hpp"
#include "link/link.hpp"
#include "page/judged.hpp"
#include "page/verdict_view.hpp"
#include "proof/cautions/cautions.hpp"
#include "proof/stated_promise.hpp"
#include "report/html/unchosen_link.hpp"
#include "report/json/ordered_json.hpp"
#include "report/pictures/schematic_view.hpp"
#include "report/words/words.hpp"

namespace gapwright {

Json unjudged_view(const Judged& judged, const std::string& state) {
    const Link& link = *judged.link;
    const std::size_t shown = link.find_state(state).value_or(0);
    Json states = Json::array();
    for (const State& one : link.states) states.push_back(one.name);
    Json promises = Json::array();
    for (std::size_t k = 0; k < link.promises.size(); ++k) {
        const auto stated = stated_promise(link, link.promises[k]);
        promises.push_back({{"number", k},
                            {"state", stated.state},
                            {"quantity", stated.quantity},
                            {"bounds", promise_bounds(stated)}});
    }
    return {{"words", unchosen_sentence(link)},
            {"states", states},
            {"state", link.states[shown].name},
            {"schematic", draw_schematic(schematic_view(link, shown)).svg(false)},
            {"promises", promises},
            {"cautions", caution_list(link, stated_cautions(link))}};
}

}  // namespace gapwright
