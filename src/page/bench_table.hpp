// Test sheets and what they rest on, kept while a link stays as it is: a fault dictionary takes
// seconds to make.
#pragma once

#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "bench/sessions/test_sheet.hpp"
#include "link/link.hpp"
#include "page/board_table.hpp"
#include "page/jobs.hpp"
#include "page/judged.hpp"
#include "page/refusal.hpp"
#include "report/bench_report.hpp"

namespace gapwright {

// All that readings of one link are judged by.
struct PreparedBench {
    std::string text;   // of the link
    std::string board;  // "solderless" …; empty for none
    Link link = {};
    FaultDictionary dictionary = {};
    TestSheet sheet = {};
    std::vector<ReadingBand> bands = {};
    NodeHoles holes = {};
};

class BenchTable {
  public:
    // The setup for a link's text and board, made where it is not kept. Errors: those of reading
    // the link and of planning the board; stopped.
    Answered<std::shared_ptr<const PreparedBench>> setup(const std::string& link_id,
                                                         const LinkText& source,
                                                         const std::string& board,
                                                         BoardTable& boards, JobProgress& progress);
    // The last one made for a link, if its text is still that.
    std::shared_ptr<const PreparedBench> last(const std::string& link_id, const std::string& text);

  private:
    std::mutex mutex_;
    std::map<std::string, std::shared_ptr<const PreparedBench>> kept_;  // by link
};

}  // namespace gapwright
