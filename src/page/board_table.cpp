#include "page/board_table.hpp"

#include <expected>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <utility>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/plan_board.hpp"
#include "board/wiring.hpp"
#include "page/refusal.hpp"

namespace gapwright {

Answered<std::shared_ptr<const Plan>> BoardTable::plan(const std::string& link_id, BoardKind kind,
                                                       const Wiring& wiring,
                                                       const std::function<bool()>& stop) {
    {
        const std::lock_guard lock(mutex_);
        const auto known = kept_.find({link_id, kind});
        if (known != kept_.end() && known->second.wiring == wiring) return known->second.plan;
    }
    PlanOptions options{.kind = kind};
    options.stop = stop;
    auto found = plan_board(wiring, options);
    if (!found && found.error().stopped) return refused(409, found.error().message);
    Answered<std::shared_ptr<const Plan>> answer = refused(422, "", "take another board");
    if (found) {
        answer = std::make_shared<const Plan>(std::move(*found));
    } else {
        answer.error().error = found.error().message;
    }
    // One that was stopped on the way serves whoever stopped it; the next may search longer.
    if (stop && stop()) return answer;
    const std::lock_guard lock(mutex_);
    kept_.insert_or_assign({link_id, kind}, Kept{wiring, answer});
    return answer;
}

std::shared_ptr<const Plan> BoardTable::last(const std::string& link_id, BoardKind kind,
                                             const Wiring& wiring) {
    const std::lock_guard lock(mutex_);
    const auto known = kept_.find({link_id, kind});
    const bool same = known != kept_.end() && known->second.wiring == wiring;
    return same ? known->second.plan.value_or(nullptr) : nullptr;
}

}  // namespace gapwright
