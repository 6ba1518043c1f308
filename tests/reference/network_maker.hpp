// Puts a random link together, stage by stage.
#pragma once

#include <sstream>

#include "reference/made_parts.hpp"

namespace gapwright::reference {

class NetworkMaker {
  public:
    explicit NetworkMaker(std::uint64_t seed) : dice_(seed) {}

    MadeLink make();

  private:
    enum class Receiver { coupler, phototransistor, light_resistor };

    // Adds a part under the next free name of its letter and gives back that name.
    std::string add(const std::string& letter, MadePart part) {
        const std::string name = letter + std::to_string(++numbers_[letter]);
        link_.parts[name] = std::move(part);
        return name;
    }
    std::string node(const std::string& stem) { return stem + std::to_string(++numbers_[stem]); }
    std::string r(double low, double high) { return add("R", resistor(dice_, low, high)); }

    // "supply > R1 > x" as a path of the input or output.
    void in(const std::string& path) { put(link_.input, path); }
    void out(const std::string& path) { put(link_.output, path); }
    static void put(MadeSide& side, const std::string& path) {
        std::istringstream words(path);
        MadePath items;
        for (std::string word; words >> word;) {
            if (word != ">") items.push_back(word);
        }
        side.paths.push_back(items);
    }
    void set(const std::string& part, const std::string& on, const std::string& off) {
        link_.states["on"][part] = on;
        link_.states["off"][part] = off;
    }

    // What leads from a drive to the emitter and behind it; two paths when a part stands across it.
    struct EmitterString {
        std::string first;   // "R1 > U1", or "R1 > top1"
        std::string second;  // "", or "top1 > U1 > foot1"
    };
    EmitterString emitter_string(const std::string& gap);
    void run(const std::string& head, const EmitterString& middle, const std::string& tail);
    void drive(const std::string& gap);
    void transistor_drive(const EmitterString& middle, bool pnp);
    void mosfet_drive(const EmitterString& middle, bool p_channel);
    std::string driver() { return add("P", logic_output(dice_, link_.input.supply)); }
    void stage(const std::string& gap, Receiver receiver);
    void transistor_stage(const std::string& gap, const std::string& through);
    void mosfet_stage(const std::string& gap, const std::string& through);
    void cascade(const std::string& gap, const std::string& through);
    std::string burden();

    Dice dice_;
    MadeLink link_;
    std::map<std::string, int> numbers_;
};

}  // namespace gapwright::reference
