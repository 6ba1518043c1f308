#include "page/open_link.hpp"
#include <cstdint>
#include <memory>
#include <mutex>
#include <stop_token>
#include <utility>
#include "page/judged.hpp"

namespace gapwright {

std::shared_ptr<const Judged> OpenLink::judged(std::uint64_t stamp) {
    const std::lock_guard one_at_a_time(judging_);
    LinkText source = [&] {
        const Held held = hold();
        return text_of(held.file);
    }();
    if (last_ && last_stamp_ == stamp && last_->source.text == source.text) return last_;
    last_ = std::make_shared<const Judged>(judge(std::move(source), {}));
    last_stamp_ = stamp;
    return last_;
}

OpenLink::Standing OpenLink::standing() {
    const std::unique_lock own(mutex_, std::try_to_lock);
    const std::lock_guard lock(standing_);
    if (own) {
        file_.look();
        stood_ = {file_.revision(), file_.outside().has_value()};
    }
    return stood_;
}

OpenLink::Trial::Trial(OpenLink& link, const std::stop_token& request)
    : link_(link),
      number_([&] {
          const std::lock_guard lock(link.trials_);
          link.newest_.request_stop();
          link.newest_ = source_;
          return ++link.trial_number_;
      }()),
      callback_(request, Stop{source_}) {}

bool OpenLink::Trial::overtaken() const {
    const std::lock_guard lock(link_.trials_);
    return number_ != link_.trial_number_;
}

}  // namespace gapwright
