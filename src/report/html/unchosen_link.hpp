// A link with values still to be chosen: it is drawn and told of, and nothing is judged.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "report/html/html_report.hpp"

namespace gapwright {

struct Link;

// "R2 is still to be chosen: until then nothing can be judged."
std::string unchosen_sentence(const Link& link);

// The command that finds the values of a link file, as a shell takes it: "gapwright design
// night.link.toml -o night-chosen.link.toml".
std::string choose_command(const std::string& file);

// One schematic a state, without currents and voltages, named as those of a report.
std::vector<NamedPicture> unchosen_schematics(const Link& link);

// The report of such a link: what is to be chosen and how, cautions that need no figures,
// schematics, states, promises as not judged, parts. `source` is the link file's text.
std::string unchosen_html(const Link& link, const std::vector<NamedPicture>& schematics,
                          std::string_view source);

}  // namespace gapwright
