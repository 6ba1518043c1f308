#include "report/html/html_style.hpp"
#include <string_view>

namespace gapwright {

std::string_view html_style() {
    return R"(:root { color-scheme: light dark; --paper: #fbf8f1; --ink: #1d1b18; --soft: #4a463f; --line: #cfc8b8; --kept: #24573f; --thin: #6f4d00; --broken: #94251a; }
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink); font: 15px/1.5 "DejaVu Sans", "Liberation Sans", Arial, sans-serif; }
main { max-width: 1180px; margin: 0 auto; padding: 24px; }
header { border: 1.5px solid var(--ink); padding: 16px 20px; }
h1 { font-size: 26px; margin: 0; }
h2 { font-size: 18px; margin: 32px 0 10px; border-bottom: 1px solid var(--line); }
h3 { font-size: 15px; margin: 0 0 4px; }
.scroll + h3 { margin-top: 16px; }
.about { margin: 4px 0 10px; color: var(--soft); }
.verdict { margin: 0 0 12px; font-size: 17px; }
.verdict.kept strong, tr.kept td:last-child { color: var(--kept); }
.verdict.thin strong, .verdict.unknown strong, tr.thin td:last-child, tr.unknown td:last-child { color: var(--thin); }
.verdict.broken strong, tr.broken td:last-child { color: var(--broken); font-weight: bold; }
.block { display: grid; grid-template-columns: repeat(auto-fill, minmax(210px, 1fr)); gap: 6px 18px; margin: 0; }
.block dt { font-size: 12px; color: var(--soft); }
.block dd { margin: 0; overflow-wrap: anywhere; }
.stretch { margin: 10px 0 0; }
.cautions ul { margin: 0; padding-left: 20px; }
figure { margin: 0 0 20px; min-width: 0; }
.beside { display: grid; grid-template-columns: repeat(auto-fill, minmax(min(440px, 100%), 1fr)); gap: 0 28px; }
figcaption { font-size: 13px; color: var(--soft); }
.scroll { overflow-x: auto; }
.picture { max-width: 100%; height: auto; display: block; }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; font-size: 13.5px; }
caption { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
th, td { text-align: left; padding: 4px 10px 4px 0; border-bottom: 1px solid var(--line); vertical-align: top; }
.steps { display: grid; grid-template-columns: repeat(auto-fill, minmax(min(420px, 100%), 1fr)); gap: 14px 24px; }
.steps ol { list-style: none; margin: 0; padding: 0; font-size: 13.5px; }
.steps li { white-space: pre-wrap; }
.build-steps { display: grid; grid-template-columns: repeat(auto-fill, minmax(min(480px, 100%), 1fr)); gap: 18px 28px; }
.build-steps article { border-top: 1.5px solid var(--line); padding-top: 8px; min-width: 0; }
.build-steps article.stop { border-top: 4px double var(--ink); }
.build-steps ul { margin: 0 0 8px; padding-left: 18px; font-size: 13.5px; }
.use { margin: 12px 0 0; }
.blank { min-height: 26px; border-bottom: 1px solid var(--ink); }
.test-sheet tr.line td, .test-sheet tr.kept td, .test-sheet tr.thin td, .test-sheet tr.broken td { border-bottom: 0; padding-top: 7px; }
.test-sheet tr.hints td { padding-bottom: 7px; font-size: 12px; line-height: 1.4; color: var(--soft); }
.test-sheet .whole { white-space: nowrap; }
.test-sheet td small { color: var(--soft); }
.test-sheet tr.setting th { padding-top: 14px; border-bottom: 1.5px solid var(--ink); }
.test-sheet tr.setting small { font-weight: normal; font-size: 13px; margin-left: 8px; }
.entry { display: block; min-width: 92px; height: 30px; padding: 3px 6px; border: 1.5px solid var(--ink); white-space: nowrap; }
.square { display: inline-block; width: 18px; height: 18px; border: 1.5px solid var(--ink); vertical-align: text-bottom; }
.test-sheet td > .square { margin: 6px 0 0 12px; }
.checks { list-style: none; margin: 0; padding: 0; }
.checks li { margin: 0 0 6px 28px; text-indent: -28px; }
.checks .square { margin-right: 6px; text-indent: 0; }
.small ul { margin: 0; padding-left: 20px; font-size: 13.5px; }
pre { border: 1px solid var(--line); padding: 12px; overflow-x: auto; font: 12.5px/1.45 "DejaVu Sans Mono", monospace; }
@media (max-width: 560px) {
.picture:has(.board) { max-width: none; }
}
@media (prefers-color-scheme: dark) {
:root { --paper: #1b1a18; --ink: #f1ece0; --soft: #c9c2b3; --line: #47433b; --kept: #8fd8b4; --thin: #ecc36a; --broken: #ff9d8e; }
}
@media print {
@page { margin: 14mm; }
:root { --paper: #fff; --ink: #000; --soft: #333; --line: #999; --kept: #1d4a35; --thin: #5c4000; --broken: #7c1d13; }
body { font-size: 9.5pt; }
h1 { font-size: 18pt; }
.verdict { font-size: 12pt; }
header { padding: 10px 14px; }
main { max-width: none; padding: 0; }
h2 { break-after: avoid; }
figure, article, tr, header, .cautions { break-inside: avoid; }
h2 { margin: 18px 0 8px; }
.block { grid-template-columns: repeat(4, 1fr); }
.beside { grid-template-columns: 1fr 1fr; gap: 0 14px; }
.steps { grid-template-columns: 1fr 1fr; }
.steps ol { font-size: 8.5pt; }
.build-steps { grid-template-columns: 1fr 1fr; gap: 10px 18px; }
.build-steps ul { font-size: 8.5pt; }
figure { margin-bottom: 10px; }
.scroll { overflow: visible; }
table { font-size: 8.5pt; }
pre { white-space: pre-wrap; font-size: 8pt; }
.test-sheet tr.setting { break-after: avoid; }
.test-sheet tr.line, .test-sheet tr.kept, .test-sheet tr.thin, .test-sheet tr.broken { break-after: avoid; }
.test-sheet tr.hints td { font-size: 7.5pt; padding-bottom: 4px; }
.test-sheet tr.setting th { padding-top: 8px; }
.test-sheet td, .test-sheet tr.line td { line-height: 1.35; padding-top: 4px; padding-bottom: 2px; }
.test-sheet tr.setting small { font-size: 8pt; }
.entry { min-width: 22mm; height: 7.5mm; }
.use { margin-top: 6px; }
.small ul { font-size: 8.5pt; }
}
)";
}

}  // namespace gapwright
