// Plans of links on boards, kept while what is wired stays the same: finding one takes seconds.
#pragma once

#include <functional>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <utility>

#include "board/board.hpp"
#include "board/plan.hpp"
#include "board/wiring.hpp"
#include "page/refusal.hpp"

namespace gapwright {

class BoardTable {
  public:
    // The plan of a link's wiring on a board, found where it is not kept. Errors: 422 with why it
    // does not fit, which is kept too; 409 where it was stopped before there was a plan.
    Answered<std::shared_ptr<const Plan>> plan(const std::string& link_id, BoardKind kind,
                                               const Wiring& wiring,
                                               const std::function<bool()>& stop);
    // The one that is kept for that wiring; none where there is none.
    std::shared_ptr<const Plan> last(const std::string& link_id, BoardKind kind,
                                     const Wiring& wiring);

  private:
    struct Kept {
        Wiring wiring;
        Answered<std::shared_ptr<const Plan>> plan;
    };
    std::mutex mutex_;
    std::map<std::pair<std::string, BoardKind>, Kept> kept_;  // by link
};

}  // namespace gapwright
