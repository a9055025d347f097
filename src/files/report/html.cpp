// SPDX-License-Identifier: MIT
// HTML Living Standard (WHATWG), in the syntax that XML 1.0 allows too.
#include "report/html.h"

#include "report/marks.h"
#include "report/svg_writer.h"

namespace aplomb::report {
namespace {

constexpr const char* shared_style = R"(
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 24px; max-width: 1280px; color: #000; background: #fff;
  font: 15px/1.45 Helvetica, Arial, "Liberation Sans", "DejaVu Sans", sans-serif; overflow-wrap: anywhere; }
h1 { font-size: 24px; line-height: 1.2; margin: 0 0 12px; }
h2 { font-size: 17px; line-height: 1.25; margin: 0 0 8px; }
svg { display: block; max-width: 100%; height: auto; }
.patterns { position: absolute; width: 0; height: 0; }
table { border-collapse: collapse; }
.note { margin: 28px 0 0; padding-top: 8px; border-top: 1px solid #808080; font-size: 13px; color: #404040; }
@page { size: A4 landscape; margin: 11mm; }
@media print { h1, h2 { break-after: avoid; } body { padding: 0; max-width: none; font-size: 10pt; } .note { margin-top: 14px; } }
)";

/// With spaces at which no line breaks between a number and its unit.
std::string with_units(std::string_view text) {
    std::string out;
    for (size_t at = 0; at < text.size(); ++at)
        out += text[at] == ' ' && !may_break(text, at) ? "\xC2\xA0" : std::string(1, text[at]);
    return out;
}

} // namespace

std::string element(std::string_view name, std::string_view text, std::string_view attributes) {
    std::string out = "<" + std::string(name);
    if (!attributes.empty()) out += ' ' + std::string(attributes);
    return out + '>' + escape(with_units(text)) + "</" + std::string(name) + ">\n";
}

std::string html_start(std::string_view title, std::string_view style) {
    std::string out = "<!DOCTYPE html>\n"
                      R"(<html lang="en" xmlns="http://www.w3.org/1999/xhtml">)"
                      "\n<head>\n"
                      R"(<meta charset="utf-8"/>)"
                      "\n"
                      R"(<meta name="viewport" content="width=device-width, initial-scale=1"/>)"
                      "\n";
    out += element("title", title);
    return out + "<style>" + shared_style + std::string(style) + "</style>\n</head>\n<body>\n";
}

std::string html_patterns() {
    SvgWriter svg(1, 1);
    define_marks(svg);
    return R"(<div class="patterns">)" + svg.finish() + "</div>\n";
}

std::string html_note() {
    return element("p",
                   "For drawn and simulated characters: this says nothing about what a living person can "
                   "safely lift or carry.",
                   R"(class="note")");
}

std::string html_end() {
    return "</body>\n</html>\n";
}

std::string table(std::string_view caption, const Cells& headings, const std::vector<Cells>& rows) {
    std::string out = "<table>\n";
    if (!caption.empty()) out += element("caption", caption);
    out += "<thead><tr><td></td>";
    for (const std::string& heading : headings)
        out += element("th", heading, R"(scope="col")");
    out += "</tr></thead>\n<tbody>\n";
    for (const Cells& row : rows) {
        out += "<tr>" + element("th", row.front(), R"(scope="row")");
        for (size_t i = 1; i < row.size(); ++i)
            out += element("td", row[i]);
        out += "</tr>\n";
    }
    return out + "</tbody>\n</table>\n";
}

} // namespace aplomb::report
