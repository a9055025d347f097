// SPDX-License-Identifier: MIT
// HTML that is well-formed XML as well: one file, nothing fetched.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace aplomb::report {

/// From the doctype to the start of the body; `style` is CSS on top of what all documents share.
std::string html_start(std::string_view title, std::string_view style);
/// The marks' patterns for all pictures of the document.
std::string html_patterns();
/// The sentence on what results are about.
std::string html_note();
std::string html_end();

/// <name attributes>text</name>; the text is escaped.
std::string element(std::string_view name, std::string_view text, std::string_view attributes = "");
/// Headings and rows; the first cell of a row is its name. An empty caption is left out.
using Cells = std::vector<std::string>;
std::string table(std::string_view caption, const Cells& headings, const std::vector<Cells>& rows);

} // namespace aplomb::report
