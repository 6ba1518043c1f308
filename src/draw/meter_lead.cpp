#include "draw/meter_lead.hpp"

#include "draw/picture.hpp"

namespace gapwright {
namespace {

constexpr double words_size = 12;
constexpr double beside = 4;
constexpr double drop = 5;  // of the words' line below the lead's end

}  // namespace

Point end_of(const MeterLead& lead) {
    return {lead.tip.x + lead.reach.x, lead.tip.y + lead.reach.y};
}

Box words_box(const MeterLead& lead) {
    const double width = text_width(lead.words, words_size) * 1.08;  // bold is wider
    const Point end = end_of(lead);
    const double left = lead.reach.x < 0 ? end.x - beside - width : end.x + beside;
    return {left, end.y + drop - words_size, left + width, end.y + drop + 3};
}

void draw_meter_lead(Picture& picture, const MeterLead& lead) {
    const bool to_left = lead.reach.x < 0;
    const Point end = end_of(lead);
    picture.begin_group(lead.red ? "probe red" : "probe black");
    picture.line({lead.tip, end}, "casing");
    picture.line({lead.tip, end}, "ink");
    picture.circle(lead.tip, 5, "tip");
    picture.text({end.x + (to_left ? -beside : beside), end.y + drop}, lead.words, "name over",
                 to_left ? Anchor::end : Anchor::start, words_size);
    picture.end_group();
}

}  // namespace gapwright
