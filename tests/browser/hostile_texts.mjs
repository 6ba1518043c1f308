// Texts that would run, load or break out of something if they were taken for anything but text.
// Each calls __ran with its number where it can run, and bears its number ("H17") to be found by.
// Hosts end in .test, which nobody has.
const templates = [
  "<script>__ran(N)</script>", "<script src=//evil.averley.test/N></script>",
  "<SCRIPT>__ran(N)</SCRIPT >", "<scr<script>ipt>__ran(N)</scr</script>ipt>",
  "<img src=x onerror=__ran(N)>", "<img src=x onerror=\"__ran(N)\">", "<img/src/onerror=__ran(N)>",
  "<img src=//evil.averley.test/N.png>", "<svg onload=__ran(N)>", "<svg/onload=__ran(N)>",
  "<svg><script>__ran(N)</script></svg>", "<svg><animate onbegin=__ran(N) attributeName=x dur=1s>",
  "<svg><set attributeName=href to=javascript:__ran(N) onbegin=__ran(N)>",
  "<svg><foreignObject><body onload=__ran(N)></foreignObject></svg>",
  "<svg><use href=\"data:image/svg+xml,<svg onload=__ran(N)>\"/></svg>",
  "<svg><image href=//evil.averley.test/N.png /></svg>", "<svg><a xlink:href=\"javascript:__ran(N)\"><text>x</text></a></svg>",
  "<math><mtext><style><img src=x onerror=__ran(N)></style></mtext></math>",
  "<body onload=__ran(N)>", "<iframe src=javascript:__ran(N)>", "<iframe srcdoc=\"<script>parent.__ran(N)</script>\">",
  "<iframe src=//evil.averley.test/N>", "<object data=javascript:__ran(N)>", "<embed src=javascript:__ran(N)>",
  "<link rel=stylesheet href=//evil.averley.test/N.css>", "<style>@import '//evil.averley.test/N'</style>",
  "<style>*{background:url(//evil.averley.test/N)}</style>", "<base href=//evil.averley.test/N/>",
  "<meta http-equiv=refresh content=\"0;url=//evil.averley.test/N\">",
  "<form action=//evil.averley.test/N><button autofocus onfocus=__ran(N)>",
  "<input autofocus onfocus=__ran(N)>", "<details open ontoggle=__ran(N)>", "<video><source onerror=__ran(N)>",
  "<audio src=x onerror=__ran(N)>", "<marquee onstart=__ran(N)>", "<a href=javascript:__ran(N)>press</a>",
  "<p style=animation-name:x onanimationstart=__ran(N)>", "<template><script>__ran(N)</script></template>",
  "javascript:__ran(N)", "JaVaScRiPt:__ran(N)", "data:text/html,<script>__ran(N)</script>", "vbscript:__ran(N)",
  "\"><script>__ran(N)</script>", "'><script>__ran(N)</script>", "\" onmouseover=\"__ran(N)", "' onfocus='__ran(N)' autofocus='",
  "</title><script>__ran(N)</script>", "</textarea><script>__ran(N)</script>", "</script><script>__ran(N)</script>",
  "</style><script>__ran(N)</script>", "</pre><img src=x onerror=__ran(N)>", "</svg><img src=x onerror=__ran(N)>",
  "--><script>__ran(N)</script><!--", "]]><script>__ran(N)</script><![CDATA[", "<!DOCTYPE x [<!ENTITY e SYSTEM 'file:///etc/hostname'>]>&e;",
  "<?xml-stylesheet href=\"javascript:__ran(N)\"?>", "&lt;script&gt;__ran(N)&lt;/script&gt;", "&#60;script&#62;__ran(N)&#60;/script&#62;",
  "\\u003cscript\\u003e__ran(N)\\u003c/script\\u003e", "%3Cscript%3E__ran(N)%3C/script%3E", "+ADw-script+AD4-__ran(N)+ADw-/script+AD4-",
  "{{constructor.constructor('__ran(N)')()}}", "${__ran(N)}", "#{__ran(N)}", "<%= __ran(N) %>", "{%raw%}__ran(N)", "`+__ran(N)+`",
  "');__ran(N);//", "\");__ran(N);//", "\\');__ran(N);//", "__proto__", "constructor", "toString", "{0}{}{:d}%s%n%x",
  "=HYPERLINK(\"http://evil.averley.test/N\")", "+1+cmd|' /C x'!A0", "-2+3+__ran(N)", "@SUM(__ran(N))", "=1+1;2,3\t4",
  "'; DROP TABLE links; --", "$(touch ran-N)", "`touch ran-N`", "; touch ran-N", "| touch ran-N", "../../../../ran-N", "..\\..\\ran-N",
  "con", "nul", "-rf", "--json", "~", "*", "?", "#/link/x", "?code=x", "%00", "%2e%2e%2f", "\u2400",
  "\u202Etxet desrever\u202C", "\u2066isolate\u2069", "\u200Bzero\u200Bwidth\u200D", "\uFEFFmark", "\u2028line\u2029paragraph",
  "Z\u0351\u0352\u0353\u0354\u0355a\u0351\u0352\u0353lgo", "\u{1F514}\u{1F570}", "\u0627\u0644\u0633\u0627\u0639\u0629", "\u00A0\u3000", "ﷺ".repeat(12),
  "'", "\"", "`", "''''", "\"\"\"\"", "<", ">", "&", "<<>>&&", "\\", "\\\\\"", "# no comment", "[table]", "a = 1",
];
// Those that a file of text may hold in escapes only.
const controls = ["\u0001", "\u0007bell", "\u0008back", "\u001B[31mred\u001B]0;title\u0007", "\u007F", "\u0085", "\u009B31m", "line\nbreak", "line\r\nbreak", "tab\ttab", "\u000Cpage"];
const long = ["A".repeat(5000), "<b>".repeat(1500), "W ".repeat(2000), "\u202E".repeat(800), "a\u0301".repeat(1500)];

// Once as they are, and those with markup once more from within what could surround them.
const surroundings = ["\"/>", "'/>", "</text></svg>"];
const marked = templates.filter((text) => text.startsWith("<")).slice(0, 40);
export const hostile = [
  ...templates, ...controls, ...long,
  ...marked.flatMap((text, index) => [surroundings[index % 3] + text, surroundings[(index + 1) % 3] + text]),
].map((text, number) => ({
  number, text: `${text.replace(/\bN\b/g, String(number))} H${number}`, plain: !/[\u0000-\u001F\u007F-\u009F]/u.test(text),
}));

// As a basic string of a TOML file.
export const quoted = (text) =>
  JSON.stringify(text).replace(/[\u007F-\u009F]/g, (letter) => `\\u${letter.charCodeAt(0).toString(16).padStart(4, "0")}`);
// As a cell of a CSV file.
export const cell = (text) => `"${text.replaceAll('"', '""').replace(/[\u0000-\u001F]/g, " ")}"`;
// As far as a file system and a listing of names allow; null where they do not.
export function fileName({ text, plain }, ending) {
  const name = text.replaceAll("/", "\u2215") + ending;
  return plain && Buffer.byteLength(name) <= 255 && !name.startsWith(".") ? name : null;
}
