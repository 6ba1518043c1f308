// The long work that the page orders (JobOrder of the contract), one file each.
#pragma once

#include <string>
#include "link/link.hpp"
#include "page/bench_table.hpp"
#include "page/jobs.hpp"
#include "page/judged.hpp"
#include "page/refusal.hpp"
#include "page/workspace.hpp"
#include "report/json/ordered_json.hpp"

namespace gapwright {

// DesignView: what a need or a link with values to be chosen comes to.
Answered<Json> design_work(const LinkText& source, JobProgress& progress);

// BuildView: the build sheet on one kind of board.
Answered<Json> build_work(const LinkText& source, const std::string& board, JobProgress& progress);

// SheetView: what to measure.
Answered<Json> sheet_work(const PreparedBench& setup);

// LeadsView: where the meter goes for the reading of that id.
Answered<Json> leads_view(const Link& link, const std::string& reading);

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
