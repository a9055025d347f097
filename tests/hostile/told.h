// SPDX-License-Identifier: MIT
// A refusal as one text, status and sentence, so that a table can hold it.
#pragma once

#include <string>

#include "aplomb/files.h"
#include "io/made_files.h"

namespace hostile {

/// "bad file: 'c.glb': the .glb header is truncated."
inline std::string told(aplomb_status status, const aplomb_error& error) {
    return std::string(aplomb_status_text(status)) + ": " + error.message;
}

/// The same with the test's own folder left out of the paths.
inline std::string told_in(const made::Folder& folder, aplomb_status status, const aplomb_error& error) {
    std::string text = told(status, error);
    const std::string own = (folder / "").string();
    for (std::size_t at = text.find(own); at != std::string::npos; at = text.find(own))
        text.erase(at, own.size());
    return text;
}

/// Opens a file of these bytes; the answer, or "opened". `description`: of a figure, beside the file; or empty.
inline std::string opened(const std::string& name, const std::string& bytes,
                          const std::string& description = "") {
    const made::Folder folder;
    made::write(folder / name, bytes);
    if (!description.empty()) made::write(folder / (name + ".figure.json"), description);
    aplomb_character* character = nullptr;
    aplomb_error error{};
    const aplomb_status status = aplomb_character_open((folder / name).c_str(), nullptr, &character, &error);
    const bool made = character != nullptr;
    aplomb_character_close(character);
    if (status == APLOMB_OK) return made ? "opened" : "OK, but no character";
    return made ? "a failure, but a character" : told_in(folder, status, error);
}

} // namespace hostile
