// Sections of an HTML report that tell of the link itself, whether it has been proven or not.
// Internal to the layer.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "report/html_writer.hpp"

namespace gapwright {

struct Caution;
struct Link;

// Its title, else its file.
std::string report_title(const Link& link);

// Fields of the title block: the file, and the surroundings that it states.
void put_stated_fields(HtmlWriter& html, const Link& link);

// Nothing where there are none.
void put_cautions(HtmlWriter& html, const std::vector<Caution>& cautions);

void put_parts(HtmlWriter& html, const Link& link);

// What nobody stated and the kind's defaults filled in, after what else is assumed.
void put_assumptions(HtmlWriter& html, const Link& link, const std::vector<std::string>& others);

void put_link_file(HtmlWriter& html, std::string_view source);

}  // namespace gapwright
