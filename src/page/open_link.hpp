// A link file that the page has open: its text, what that comes to, and the newest trial.
#pragma once

#include <cstdint>
#include <memory>
#include <mutex>
#include <stop_token>
#include <string>
#include <utility>

#include "folder/working_file.hpp"
#include "page/judged.hpp"

namespace gapwright {

class OpenLink {
  public:
    OpenLink(std::string id, WorkingFile file, std::string card_folder)
        : id_(std::move(id)),
          card_folder_(std::move(card_folder)),
          file_(std::move(file)),
          stood_{.revision = file_.revision()} {}

    const std::string& id() const { return id_; }

    // The file, for one thread at a time.
    struct Held {
        std::unique_lock<std::mutex> lock;
        WorkingFile& file;
    };
    Held hold() { return {std::unique_lock(mutex_), file_}; }

    // How the file stands, for somebody who asks each second and waits for nothing: while another
    // thread has it, a slow disk's save perhaps, as it stood before.
    struct Standing {
        std::uint64_t revision = 0;
        bool outside = false;  // changed outside
    };
    Standing standing();

    LinkText text_of(const WorkingFile& file) const {
        return {file.path(), card_folder_, file.text()};
    }

    // The present text, proven; the last one is kept as long as the text is the same. Cards that
    // changed meanwhile are told by `stamp`.
    std::shared_ptr<const Judged> judged(std::uint64_t stamp);

    // A new trial: the one before it is stopped, and this one stops with `request` too.
    class Trial {
      public:
        Trial(OpenLink& link, const std::stop_token& request);
        std::stop_token token() const { return source_.get_token(); }
        bool overtaken() const;

      private:
        struct Stop {
            std::stop_source source;
            void operator()() { source.request_stop(); }
        };
        OpenLink& link_;
        std::stop_source source_;
        std::uint64_t number_;
        std::stop_callback<Stop> callback_;
    };

  private:
    const std::string id_;
    const std::string card_folder_;
    std::mutex mutex_;
    WorkingFile file_;
    std::mutex standing_;
    Standing stood_;

    std::mutex judging_;  // one proof of the present text at a time
    std::shared_ptr<const Judged> last_;
    std::uint64_t last_stamp_ = 0;

    std::mutex trials_;
    std::stop_source newest_{std::nostopstate};
    std::uint64_t trial_number_ = 0;
};

}  // namespace gapwright
