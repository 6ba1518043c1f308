// A need met: every draft looked at, the best of them designed in full.
#pragma once

#include <expected>
#include "design/design.hpp"
#include "link/need.hpp"

namespace gapwright {

// Errors: those of the drawer; contradiction where no arrangement fits the need at all.
std::expected<Design, DesignFailure> meet_need(const Need& need, const DesignOptions& options);

}  // namespace gapwright
