// SPDX-License-Identifier: MIT
// glTF and GLB: any bytes are a character or a Fault.
#include "io/gltf_character.h"

#include <cstddef>
#include <cstdint>

#include "fuzz/character.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    try {
        const auto file = aplomb::io::open_gltf({reinterpret_cast<const char*>(data), size}, "", "");
        fuzz::use(*file);
    } catch (const aplomb::io::Fault&) {
    }
    return 0;
}
