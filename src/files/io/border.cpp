// SPDX-License-Identifier: MIT
#include "io/border.h"

#include "io/bytes.h"
#include "io/path.h"

#include <algorithm>
#include <cstring>

namespace aplomb::io {
namespace {

void copy_text(char* target, std::size_t size, const std::string& text) {
    std::size_t length = std::min(text.size(), size - 1);
    while (length > 0 && length < text.size() && (static_cast<unsigned char>(text[length]) & 0xC0u) == 0x80u)
        --length;
    std::memcpy(target, text.data(), length);
    target[length] = '\0';
}

} // namespace

aplomb_status report(aplomb_error* error, const Fault& fault, const std::string& path,
                     const std::string& argument) {
    if (error == nullptr) return fault.status;
    const std::string& file = fault.file.empty() ? path : fault.file;
    std::string message = fault.message;
    if (!file.empty() && message.find("'" + file + "'") == std::string::npos)
        message = "'" + file + "': " + message;
    if (!message.empty() && message.back() != '.') message += '.';
    if (!path.empty() && fault.status == APLOMB_BAD_FIGURE &&
        (fault.field == "names" || fault.field == "roles"))
        message +=
            " Roles stand in a figure description beside the file, '" + file_name(path) + ".figure.json'.";
    // Paths and URIs need not be UTF-8; what is shown must be.
    if (!is_utf8(message))
        for (char& c : message)
            if (static_cast<unsigned char>(c) >= 0x80) c = '?';
    error->status = fault.status;
    error->index = fault.index;
    copy_text(error->field, sizeof error->field, fault.field == "path" ? argument : fault.field);
    copy_text(error->message, sizeof error->message, message);
    return fault.status;
}

aplomb_status report_no_memory(aplomb_error* error, const char* argument) {
    if (error != nullptr) {
        error->status = APLOMB_OUT_OF_MEMORY;
        error->index = -1;
        std::strcpy(error->field, argument);
        std::strcpy(error->message, "Out of memory.");
    }
    return APLOMB_OUT_OF_MEMORY;
}

} // namespace aplomb::io
