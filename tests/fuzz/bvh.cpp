// SPDX-License-Identifier: MIT
// BVH: any bytes are a character or a Fault.
#include "io/bvh_character.h"

#include <cstddef>
#include <cstdint>

#include "fuzz/character.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    try {
        const aplomb::io::BvhCharacter file({reinterpret_cast<const char*>(data), size});
        const aplomb::io::BvhAxes axes = aplomb::io::find_axes(file.file(), 0);
        fuzz::use(file, axes.up, axes.forward);
    } catch (const aplomb::io::Fault&) {
    }
    return 0;
}
