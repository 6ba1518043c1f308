#include "page/bench_table.hpp"

#include <fmt/format.h>
#include <algorithm>
#include <cstddef>
#include <expected>
#include <memory>
#include <mutex>
#include <utility>

#include "bench/faults/fault.hpp"
#include "bench/faults/misplaced.hpp"
#include "bench/reasoning/fault_dictionary.hpp"
#include "bench/reasoning/reading_band.hpp"
#include "bench/sessions/test_sheet.hpp"
#include "board/board.hpp"
#include "board/wiring.hpp"
#include "build/wiring_of_link.hpp"
#include "fit/link_cards.hpp"
#include "page/board_table.hpp"
#include "page/jobs.hpp"
#include "page/judged.hpp"
#include "page/refusal.hpp"
#include "report/bench_report.hpp"
#include "source/source_text.hpp"

namespace gapwright {
namespace {

std::unexpected<Refusal> stopped() {
    return refused(409, "stopped");
}

}  // namespace

std::shared_ptr<const PreparedBench> BenchTable::last(const std::string& link_id,
                                                      const std::string& text) {
    const std::lock_guard lock(mutex_);
    const auto known = kept_.find(link_id);
    const bool same = known != kept_.end() && known->second->text == text;
    return same ? known->second : nullptr;
}

Answered<std::shared_ptr<const PreparedBench>> BenchTable::setup(const std::string& link_id,
                                                                 const LinkText& source,
                                                                 const std::string& board,
                                                                 BoardTable& boards,
                                                                 JobProgress& progress) {
    if (auto known = last(link_id, source.text); known && known->board == board) return known;
    auto made = std::make_shared<PreparedBench>();
    made->text = source.text;
    made->board = board;
    auto read = read_solvable_link(std::make_shared<const SourceText>(source.name, source.text),
                                   source.folder);
    if (!read) return refused("the link file has problems", read.error());
    made->link = std::move(read->link);

    const std::size_t all = fault_table(prepared_for_faults(made->link, read->circuit)).size();
    DictionaryOptions options;
    options.engine.stop = progress.stop();
    options.engine.progress = [&](std::size_t done) {
        progress.say(fmt::format("{} of {} faults simulated", done, all),
                     static_cast<double>(done) / static_cast<double>(std::max(done, all)));
    };
    auto dictionary = fault_dictionary(made->link, options);
    if (!dictionary) return refused("the link file has problems", dictionary.error());
    if (progress.stop().stop_requested()) return stopped();
    made->dictionary = std::move(*dictionary);
    if (const auto kind = board_kind_named(board); !board.empty() && kind) {
        progress.say("placing parts on the board");
        const Wiring wiring = wiring_of(made->link);
        const auto plan =
            boards.plan(link_id, *kind, wiring, [&] { return progress.stop().stop_requested(); });
        if (!plan) return std::unexpected(plan.error());
        add_faults(made->link, misplaced_faults(made->link, wiring, **plan), options.engine,
                   made->dictionary);
        made->holes = node_holes_of(made->link, wiring, **plan);
    }
    progress.say("choosing what to measure");
    made->sheet = test_sheet(made->link, made->dictionary, {});
    made->bands = reading_bands(made->dictionary, made->dictionary.options.seed);
    if (progress.stop().stop_requested()) return stopped();
    // Its progress refers to this job, which ends.
    made->dictionary.options.engine = {};
    const std::lock_guard lock(mutex_);
    kept_[link_id] = made;
    return std::shared_ptr<const PreparedBench>(made);
}

}  // namespace gapwright
