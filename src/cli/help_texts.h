// SPDX-License-Identifier: MIT
// What stands below the options in each command's help.
#pragma once

namespace aplomb::cli {

extern const char* const syntax_text; // of loads, pulls and stances
extern const char* const keep_text;
extern const char* const read_exit_text;
extern const char* const balance_exit_text;
extern const char* const inspect_text;
extern const char* const read_text;
extern const char* const balance_text;
extern const char* const fit_text;
extern const char* const follow_text;
extern const char* const dots_text;
extern const char* const timing_text;

} // namespace aplomb::cli
