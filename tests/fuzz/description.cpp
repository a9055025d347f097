// SPDX-License-Identifier: MIT
// The figure description: any bytes are one or a Fault, and one that is written again reads the same.
#include "io/description.h"

#include <cstddef>
#include <cstdint>
#include <cstdlib>

#include "io/fault.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::vector<std::string> names = {"Hips", "Spine", "LeftFoot", "RightFoot", "twice", "twice"};
    aplomb::io::Description description;
    try {
        description = aplomb::io::read_description({reinterpret_cast<const char*>(data), size}, names);
    } catch (const aplomb::io::Fault&) {
        return 0;
    }
    // What the caller of read_description settles before it writes.
    if (description.up == 0) description.up = APLOMB_AXIS_Y;
    if (description.forward == 0) description.forward = APLOMB_AXIS_Z;
    if (description.metres_per_unit == 0) description.metres_per_unit = 1;
    if (description.total_mass == 0) description.total_mass = 70;
    if (description.mass_table < 0) description.mass_table = 0;
    const std::string text = aplomb::io::write_description(description, names);
    try {
        if (aplomb::io::write_description(aplomb::io::read_description(text, names), names) != text)
            std::abort();
    } catch (const aplomb::io::Fault&) {
        std::abort();
    }
    return 0;
}
