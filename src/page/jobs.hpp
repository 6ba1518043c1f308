// Work that takes longer than a moment: each job on a thread of its own, with progress and a stop.
#pragma once

#include <cstdint>
#include <functional>
#include <list>
#include <memory>
#include <mutex>
#include <stop_token>
#include <string>
#include <thread>

#include "page/refusal.hpp"
#include "report/json/ordered_json.hpp"

namespace gapwright {

// What a job's work is given.
class JobProgress {
  public:
    // Says how far the work is, in words; a share below zero where that is not known.
    void say(std::string words, double share = -1);
    std::stop_token stop() const { return stop_; }

  private:
    friend class JobTable;
    std::mutex mutex_;
    std::string words_ = "begins";
    double share_ = -1;
    std::stop_token stop_;
};

class JobTable {
  public:
    using Work = std::function<Answered<Json>(JobProgress&)>;

    JobTable() = default;
    JobTable(const JobTable&) = delete;
    JobTable& operator=(const JobTable&) = delete;
    ~JobTable();  // stops all and waits

    // Starts a job and returns its id. One under way with the same `key` is stopped first; an empty
    // key ends none. Errors: 503 when too many are under way.
    Answered<std::string> start(const std::string& key, Work work);

    // JobView of the contract. Errors: 404 for an id that is not, or no longer, known.
    Answered<Json> view(const std::string& id);
    Answered<Json> stop(const std::string& id);
    // The result of a job that is done. Errors: 404, or 409 where there is none yet.
    Answered<Json> result(const std::string& id);

  private:
    struct Job {
        std::string id;
        std::string key;
        JobProgress progress;
        std::mutex mutex;
        bool ended = false;
        Answered<Json> result = Json();
        std::jthread thread;
    };

    std::shared_ptr<Job> find(const std::string& id);
    void forget_old();

    std::mutex mutex_;
    std::list<std::shared_ptr<Job>> jobs_;
    std::uint64_t next_ = 1;
};

}  // namespace gapwright
