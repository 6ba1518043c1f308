// Any bytes as a title, a name and a note: the SVG stays well-formed XML.
#include <cstdint>
#include <cstdlib>
#include <pugixml.hpp>

#include "draw/schematic.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    using namespace gapwright;
    const std::string words(reinterpret_cast<const char*>(data), size);
    SchematicPart part;
    part.name = words;
    part.notes = {words, words};
    part.at_gap = true;
    SchematicInput input;
    input.title = words;
    input.description = words;
    input.input = {words, {{"supply", "return", {part}}}, {}};
    input.output = {
        words, {{"supply", words, {part}}, {words, "return", {part}}}, {{words, words}}};
    const std::string svg = draw_schematic(input).svg(true);
    pugi::xml_document document;
    if (!document.load_buffer(svg.data(), svg.size())) std::abort();
    return 0;
}
