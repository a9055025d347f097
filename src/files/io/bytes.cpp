// SPDX-License-Identifier: MIT
#include "io/bytes.h"

#include "base/utf8.h"
#include "io/fault.h"

namespace aplomb::io {

void hand_over(std::string_view bytes, aplomb_take_file take, void* user) {
    if (take == nullptr) bad_argument("take", "take is NULL");
    if (take(user, bytes.data(), bytes.size()) == 0)
        throw Fault{APLOMB_CANNOT_OPEN,
                    "take returned 0: the " + std::to_string(bytes.size()) + " bytes were not taken", "take"};
}

bool is_utf8(std::string_view text) {
    return aplomb::is_utf8(text.data(), text.size());
}

} // namespace aplomb::io
