// SPDX-License-Identifier: MIT
// Whether bytes are UTF-8 (RFC 3629): the shortest form only, no surrogates, nothing above U+10FFFF.
#pragma once

#include <cstddef>

namespace aplomb {

inline bool is_utf8(const char* text, std::size_t length) {
    for (std::size_t i = 0; i < length;) {
        const auto lead = static_cast<unsigned char>(text[i]);
        const std::size_t extra = lead < 0x80   ? 0
                                  : lead < 0xC2 ? 9
                                  : lead < 0xE0 ? 1
                                  : lead < 0xF0 ? 2
                                  : lead < 0xF5 ? 3
                                                : 9;
        if (extra == 9 || length - i <= extra) return false;
        for (std::size_t k = 1; k <= extra; ++k) {
            const auto next = static_cast<unsigned char>(text[i + k]);
            const unsigned low = k == 1 && lead == 0xE0 ? 0xA0u : k == 1 && lead == 0xF0 ? 0x90u : 0x80u;
            const unsigned high = k == 1 && lead == 0xED ? 0x9Fu : k == 1 && lead == 0xF4 ? 0x8Fu : 0xBFu;
            if (next < low || next > high) return false;
        }
        i += extra + 1;
    }
    return true;
}

} // namespace aplomb
