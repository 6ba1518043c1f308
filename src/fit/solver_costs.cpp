#include "fit/solver_costs.hpp"

#include <ceres/ceres.h>
#include <glog/logging.h>

#include <mutex>

namespace gapwright {

// SILENT holds for all that it says but for one thing: where a law has
// no value or slope it logs an error on stderr, through a library that can only be told so for the
// whole program. Nothing else in it logs.
void solve_quietly(ceres::Solver::Options options, ceres::Problem& problem,
                   ceres::Solver::Summary& summary) {
    static std::once_flag told;  // fits run on several threads
    std::call_once(told, [] { FLAGS_minloglevel = google::GLOG_FATAL; });
    options.logging_type = ceres::SILENT;
    ceres::Solve(options, &problem, &summary);
}

}  // namespace gapwright
