// Pieces that JSON documents share. Internal to the layer.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "report/json/ordered_json.hpp"

namespace gapwright {

struct CaseFigure;
struct Link;
struct Proof;

// Each figure of a case by its name; temperatures in °C.
Json case_json(const std::vector<CaseFigure>& figures);

Json optional_json(const std::optional<double>& value);

// The document of `check --json`.
Json verdict_object(const Link& link, const Proof& proof);

// The first member of every document: it changes when a member changes its name or meaning.
inline constexpr int json_format = 1;

// A document as text, ended by '\n'; numbers that are not finite are null.
std::string text_of(const Json& document);

}  // namespace gapwright
