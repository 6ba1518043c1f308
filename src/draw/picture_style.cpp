#include <string_view>
#include "draw/picture.hpp"

namespace gapwright {

// Ink on warm paper; amber only for what light does; verdicts by shape and hatch as well as tone.
// Plain values first, for renderers without custom properties; the page and dark mode override
// them. Bands of resistors keep their colours everywhere, in an outline that shows black and white
// on either ground. Contrast at least 4.5:1 for text and 3:1 for lines that carry meaning.
std::string_view picture_style() {
    return R"(.picture { font-family: "DejaVu Sans", "Liberation Sans", Arial, sans-serif; }
.picture .paper { fill: #fbf8f1; }
.picture text { fill: #1d1b18; font-variant-numeric: tabular-nums; }
.picture text.small { fill: #4a463f; }
.picture text.name { font-weight: bold; }
.picture text.light { fill: #8a4b00; }
.picture text.over { paint-order: stroke; stroke: #fbf8f1; stroke-width: 4px; stroke-linejoin: round; }
.picture .wire, .picture .ink { stroke: #1d1b18; stroke-width: 1.6; fill: none; stroke-linecap: round; stroke-linejoin: round; }
.picture .rail { stroke: #1d1b18; stroke-width: 2.6; fill: none; }
.picture .body { stroke: #1d1b18; stroke-width: 1.6; fill: #fbf8f1; stroke-linejoin: round; }
.picture .to-choose .body { stroke-dasharray: 4 2.5; }
.picture .solid, .picture .dot { fill: #1d1b18; stroke: none; }
.picture .thin { stroke: #6d675d; stroke-width: 0.8; fill: none; }
.picture .grid { stroke: #d9d3c5; stroke-width: 0.8; fill: none; }
.picture .ray { stroke: #b06000; stroke-width: 1.8; fill: none; stroke-linecap: round; }
.picture .glow { fill: #b06000; stroke: none; }
.picture .live .ink, .picture .live .body, .picture .wire.live { stroke-width: 2.8; }
.picture .heavy { stroke: #1d1b18; stroke-width: 4; fill: none; }
.picture .shining .body { fill: #f3c98b; }
.picture .active .body { fill: #e6dcc6; }
.picture .aside { opacity: 0.62; }
.picture .probe .ink { stroke-width: 4; }
.picture .probe .casing { stroke: #fbf8f1; stroke-width: 7; fill: none; stroke-linecap: round; }
.picture .probe .ring { fill: none; stroke: #1d1b18; stroke-width: 2; }
.picture .probe.red .ring { stroke: #c8281e; }
.picture .probe .tip { fill: #1d1b18; stroke: #fbf8f1; stroke-width: 1.5; }
.picture .probe.red .ink { stroke: #c8281e; }
.picture .probe.red .tip { fill: #c8281e; }
.picture .probe.red text { fill: #94251a; }
.picture .outline { fill: none; stroke: #6d675d; stroke-width: 1.2; stroke-dasharray: 5 4; }
.picture .suspect { fill: none; stroke: #1d1b18; stroke-width: 1.6; stroke-dasharray: 3 3; }
.picture .beam .spread { fill: #b06000; fill-opacity: 0; stroke: none; }
.picture .beam.weak .spread { fill-opacity: 0.14; }
.picture .beam.medium .spread { fill-opacity: 0.3; }
.picture .beam.strong .spread { fill-opacity: 0.5; }
.picture .beam.dark .ray { stroke-width: 1; stroke-dasharray: 2 5; }
.picture .beam.dark .glow { fill: none; stroke: #b06000; stroke-width: 1; }
.picture .gap { fill: none; stroke: #6d675d; stroke-width: 0.8; }
.picture .curve { stroke: #1d1b18; stroke-width: 1.8; fill: none; }
.picture .curve.weak { stroke-dasharray: 7 4; }
.picture .curve.thin { stroke-width: 0.9; stroke-opacity: 0.6; }
.picture .curve.strong { stroke-dasharray: 2 3; }
.picture .curve.amber { stroke: #b06000; }
.picture .trace { stroke: #1d1b18; stroke-width: 0.7; stroke-opacity: 0.3; fill: none; }
.picture .level { stroke: #6d675d; stroke-width: 1; stroke-dasharray: 5 3; fill: none; }
.picture .band { fill: #1d1b18; fill-opacity: 0.10; stroke: none; }
.picture .bar { fill: #8d8778; stroke: none; }
.picture .kept { fill: #2f6b4f; stroke: none; }
.picture .thin-bar { fill: #8a6100; stroke: none; }
.picture .broken { fill: #a02c1e; stroke: none; }
.picture .hatch { stroke: #a02c1e; stroke-opacity: 0.35; stroke-width: 0.9; fill: none; }
.picture .cut-mark { stroke: #fbf8f1; stroke-width: 3; fill: none; }
.picture .bound { stroke: #1d1b18; stroke-width: 2.2; }
.picture .tick { stroke: #1d1b18; stroke-width: 0.7; stroke-opacity: 0.55; }
.picture .forbidden { stroke: #a02c1e; stroke-width: 1; stroke-dasharray: 5 3; fill: none; }
.picture .board { fill: none; stroke: #6d675d; stroke-width: 1.2; }
.picture .metal { fill: #1d1b18; fill-opacity: 0.05; stroke: #b9b2a2; stroke-width: 0.7; }
.picture .hole { fill: #b9b2a2; stroke: none; }
.picture .cut { fill: none; stroke: #1d1b18; stroke-width: 1.3; }
.picture .link { stroke: #1d1b18; stroke-width: 3; fill: none; stroke-linecap: round; }
.picture .link.under { stroke-width: 2.2; stroke-dasharray: 5 4; }
.picture .lead { stroke: #6d675d; stroke-width: 1.4; fill: none; stroke-dasharray: 1 4; stroke-linecap: round; }
.picture .faint { opacity: 0.38; }
.picture .now .body, .picture .now .ink { stroke-width: 2.6; }
.picture .stripe { stroke: #1d1b18; stroke-width: 0.8; }
.picture .stripe.black { fill: #151413; }
.picture .stripe.brown { fill: #7a4a21; }
.picture .stripe.red { fill: #c8281e; }
.picture .stripe.orange { fill: #e8761a; }
.picture .stripe.yellow { fill: #f2d21c; }
.picture .stripe.green { fill: #2f8a3c; }
.picture .stripe.blue { fill: #2c5aa8; }
.picture .stripe.violet { fill: #7b3fa0; }
.picture .stripe.grey { fill: #8c8c8c; }
.picture .stripe.white { fill: #ffffff; }
.picture .stripe.gold { fill: #b08d2e; }
.picture .stripe.silver { fill: #c6c9cc; }
@media (prefers-color-scheme: dark) {
.picture .paper { fill: #1b1a18; }
.picture text { fill: #f1ece0; }
.picture text.small { fill: #c9c2b3; }
.picture text.light { fill: #f0b060; }
.picture text.over { stroke: #1b1a18; }
.picture .wire, .picture .ink, .picture .rail, .picture .curve, .picture .trace, .picture .bound, .picture .tick { stroke: #f1ece0; }
.picture .body { stroke: #f1ece0; fill: #1b1a18; }
.picture .stripe { stroke: #f1ece0; }
.picture .solid, .picture .dot { fill: #f1ece0; }
.picture .thin, .picture .level, .picture .gap { stroke: #9a9384; }
.picture .grid { stroke: #3b3832; }
.picture .ray, .picture .curve.amber { stroke: #f0a848; }
.picture .glow { fill: #f0a848; }
.picture .heavy { stroke: #f1ece0; }
.picture .shining .body { fill: #7a5215; }
.picture .active .body { fill: #4d4636; }
.picture .beam .spread { fill: #f0a848; }
.picture .beam.dark .glow { stroke: #f0a848; }
.picture .outline { stroke: #9a9384; }
.picture .cut-mark { stroke: #1b1a18; }
.picture .hatch { stroke: #f08070; }
.picture .probe .casing { stroke: #f1ece0; }
.picture .probe.black .ink { stroke: #151413; }
.picture .probe.black .tip, .picture .probe.black .ring { fill: #151413; stroke: #f1ece0; }
.picture .probe.red text { fill: #ff9d8e; }
.picture .band { fill: #f1ece0; fill-opacity: 0.14; }
.picture .bar { fill: #9a9384; }
.picture .kept { fill: #79c6a2; }
.picture .thin-bar { fill: #e3b34c; }
.picture .broken { fill: #f08070; }
.picture .forbidden { stroke: #f08070; }
.picture .board { stroke: #9a9384; }
.picture .metal { fill: #f1ece0; stroke: #5b564c; }
.picture .hole { fill: #6d675d; }
.picture .cut, .picture .link, .picture .suspect { stroke: #f1ece0; }
.picture .lead { stroke: #9a9384; }
}
@media print {
.picture .paper { fill: none; }
.picture text, .picture text.small { fill: #000; }
.picture text.light { fill: #6b3a00; }
.picture text.over { stroke: #fff; }
.picture .wire, .picture .ink, .picture .rail, .picture .curve, .picture .trace, .picture .bound, .picture .tick { stroke: #000; }
.picture .body { stroke: #000; fill: #fff; }
.picture .stripe { stroke: #000; }
.picture .solid, .picture .dot { fill: #000; }
.picture .thin, .picture .level, .picture .gap { stroke: #555; }
.picture .grid { stroke: #ccc; }
.picture .ray, .picture .curve.amber { stroke: #8a4b00; }
.picture .glow { fill: #8a4b00; }
.picture .heavy { stroke: #000; }
.picture .shining .body, .picture .active .body { fill: #ddd; }
.picture .outline { stroke: #555; }
.picture .board { stroke: #555; }
.picture .metal { fill: none; stroke: #aaa; }
.picture .hole { fill: #999; }
.picture .cut, .picture .link, .picture .lead, .picture .suspect { stroke: #000; }
.picture .kept { fill: #2f6b4f; }
.picture .thin-bar { fill: #8a6100; }
.picture .broken { fill: #a02c1e; }
}
)";
}

}  // namespace gapwright
