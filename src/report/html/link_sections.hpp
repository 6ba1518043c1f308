// Sections of an HTML report that tell of the link itself, whether it has been proven or not.
// Internal to the layer.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "report/html/html_writer.hpp"

namespace gapwright {

struct Caution;
struct Link;

// Its title, else its file.
std::string report_title(const Link& link);

// What the first line of a title block says: "✓ kept", a sentence, and the class of its colour.
struct TitleVerdict {
    std::string_view style_class;
    std::string_view word;
    std::string sentence;
};

// The title block up to the surroundings that the link states; further fields, then the end of list
// and header, are the caller's.
void begin_title_block(HtmlWriter& html, const Link& link, const TitleVerdict& verdict);

// Nothing where there are none.
void put_cautions(HtmlWriter& html, const std::vector<Caution>& cautions);

void put_parts(HtmlWriter& html, const Link& link);

// What nobody stated and the kind's defaults filled in, after what else is assumed.
void put_assumptions(HtmlWriter& html, const Link& link, const std::vector<std::string>& others);

void put_link_file(HtmlWriter& html, std::string_view source);

}  // namespace gapwright
