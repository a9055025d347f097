// SPDX-License-Identifier: MIT
// What a word on the command line must be, told in the command's own words.
#pragma once

#include <CLI/CLI.hpp>

#include <map>
#include <string>

namespace aplomb::cli {

/// Numbers; `wanted` ends "'-3' is not ...".
CLI::Validator positive(const char* wanted);
CLI::Validator not_negative(const char* wanted);
CLI::Validator whole();

/// A fixed list of words, each with its number.
template<class T>
CLI::Validator words(const char* wanted, std::map<std::string, T> meanings) {
    return CLI::Validator(
        [=](std::string& text) {
            const auto found = meanings.find(text);
            if (found == meanings.end()) return "'" + text + "' is not " + wanted;
            text = std::to_string(static_cast<int>(found->second));
            return std::string();
        },
        "");
}

CLI::Validator axis();
CLI::Validator mass_table();

/// CLIP:SECONDS, or none.
CLI::Validator stand_check();

} // namespace aplomb::cli
