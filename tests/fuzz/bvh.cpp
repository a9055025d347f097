// SPDX-License-Identifier: MIT
// BVH: any bytes are a character or a Fault.
#include "io/bvh_character.h"

#include <cstddef>
#include <cstdint>

#include "fuzz/character.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    try {
        const aplomb::io::BvhCharacter file({reinterpret_cast<const char*>(data), size});
        fuzz::use(file);
    } catch (const aplomb::io::Fault&) {
    }
    return 0;
}
