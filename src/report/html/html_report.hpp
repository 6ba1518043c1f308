// A proof as one self-contained HTML file: no outside resource, no script, prints on A4 and Letter.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "draw/picture.hpp"

namespace gapwright {

struct Link;
struct LinkCircuit;
struct Proof;

// A picture with the name of its file, "schematic-on".
struct NamedPicture {
    std::string name;
    std::string caption;
    Picture picture;
};

// Everything a report shows, worked out once.
struct ReportContents {
    std::vector<NamedPicture> schematics;  // one a state
    std::vector<NamedPicture> margins;
    std::vector<NamedPicture> load_lines;
    std::vector<NamedPicture> histograms;  // one a promise
    std::vector<NamedPicture>
        waveforms;  // one a change that a promise speaks of, the signal, its eye
    std::vector<NamedPicture> life;

    std::vector<const NamedPicture*> all() const;
};
ReportContents report_contents(const Link& link, const LinkCircuit& circuit, const Proof& proof);

// `source` is the link file's text, set at the end of the report.
std::string html_report(const Link& link, const Proof& proof, const ReportContents& contents,
                        std::string_view source);

}  // namespace gapwright
