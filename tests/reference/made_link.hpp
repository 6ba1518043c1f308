// A link that a test makes up: plain figures and paths, from which both its file and the second
// solution are made.
#pragma once

#include <map>
#include <string>
#include <vector>

namespace gapwright::reference {

// A part with its figures in SI units (angles in degrees). A key inside a table is written with a
// dot, "emitter.ideality"; the condition of a quantity "at" another is KEY + "_at".
struct MadePart {
    std::string kind;
    std::map<std::string, double> figures;
    std::map<std::string, std::string> words;  // polarity, channel, kinds inside a pair

    double figure(const std::string& key, double standard) const;
    double figure(const std::string& key) const;  // 0 when absent
    bool has(const std::string& key) const { return figures.contains(key); }
    bool mirrored() const;  // pnp or p-channel
};

using MadePath = std::vector<std::string>;  // parts and nodes, as in the file

struct MadeSide {
    double supply = 9;      // V
    double resistance = 0;  // Ω
    std::vector<MadePath> paths;
};

struct MadeLink {
    std::map<std::string, MadePart> parts;
    MadeSide input;
    MadeSide output;
    // State name to the settings of contacts and logic outputs.
    std::map<std::string, std::map<std::string, std::string>> states;
    double temperature = 298.15;  // K
    std::string recipe;           // how it was put together, for messages
};

// The link file's text; figures are written so that they read back to the very same doubles.
std::string file_text(const MadeLink& link);

}  // namespace gapwright::reference
