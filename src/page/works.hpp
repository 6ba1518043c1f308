// The long work that the page orders (JobOrder of the contract), one file each.
#pragma once

#include <string>
#include "link/link.hpp"
#include "page/bench_table.hpp"
#include "page/board_table.hpp"
#include "page/build_maker.hpp"
#include "page/jobs.hpp"
#include "page/judged.hpp"
#include "page/open_link.hpp"
#include "page/refusal.hpp"
#include "page/workspace.hpp"
#include "report/json/ordered_json.hpp"

namespace gapwright {

// DesignView: what a need or a link with values to be chosen comes to.
Answered<Json> design_work(const LinkText& source, JobProgress& progress);

// BuildView: the build sheet on one kind of board.
Answered<Json> build_work(const BuildOrder& order, BoardTable& boards, JobProgress& progress);

// BoardView: finds the plan on one kind of board, for leads_view.
Answered<Json> board_work(Workspace& workspace, OpenLink& link, const std::string& board,
                          JobProgress& progress);

// SheetView: what to measure.
Answered<Json> sheet_work(const PreparedBench& setup);

// What the page asks to see: the meter's leads for the reading of that id, on the schematic, or on
// a kind of board, where parts by name, with spaces between, are marked as suspected.
struct LeadsAsked {
    std::string reading;
    std::string board = {};  // empty: the schematic
    std::string suspects = {};
};
// LeadsView. Errors: 404 for no such reading, 409 where no plan of that board is kept (board_work),
// 422 where the link has problems or neither lead has a place on the board.
Answered<Json> leads_view(Workspace& workspace, OpenLink& link, const LeadsAsked& wanted);

// SessionsView: what the sessions recorded beside `file` tell together.
Answered<Json> sessions_view(const PreparedBench& setup, const std::string& file);

// BenchView: what readings come to. `list` is a ReadingList.
Answered<Json> readings_work(const PreparedBench& setup, const Json& list, JobProgress& progress);

// Recorded: the readings as a session in the link's folder of records, beside `file`.
Answered<Json> record_readings(const PreparedBench& setup, const Json& list,
                               const std::string& file);

// FitView: a card from points. `order` is a JobOrder of work "fit".
Answered<Json> fit_work(Workspace& workspace, const Json& order, JobProgress& progress);

// TraceView: a curve of a chart's picture. `order` is a JobOrder of work "trace".
Answered<Json> trace_work(Workspace& workspace, const Json& order, JobProgress& progress);

// Starts what a JobOrder asks for and returns the job's id.
Answered<std::string> start_work(Workspace& workspace, const Json& order);

}  // namespace gapwright
