// SPDX-License-Identifier: MIT
// What was typed wrongly, in one sentence that says what to do next.
#pragma once

#include <string>

namespace CLI {
class App;
class Error;
} // namespace CLI

namespace aplomb::cli {

/// Before parsing: every option of the command refuses an empty value, and the next option as its value.
void ask_for_values(CLI::App& command);

/// After the parser has refused.
std::string misuse(const CLI::App& app, const CLI::Error& error);

} // namespace aplomb::cli
