// SPDX-License-Identifier: MIT
// What the parts of a clip's page have in common.
#pragma once

#include <string>

#include "report/scene.h"
#include "report/svg_writer.h"

namespace aplomb::report {

struct Shot {
    const aplomb_shot_page& page;
    Body body;

    /// Throws where the figure cannot be read.
    explicit Shot(const aplomb_shot_page& page);

    int count() const { return page.frame_count; }
    const aplomb_clip_frame& frame(int f) const { return page.frames[f]; }
    /// As sentences call it.
    int number(int f) const { return page.clip->first_number + f; }
    /// "12", "12 to 40"
    std::string frames(int first, int last) const;
    /// Seconds from the start of a frame to the end of another.
    double lasting(int first, int last) const;
    /// The unit of lengths that suits the body, and how many of it a metre is.
    const char* length_unit() const;
    double lengths_per_metre() const;
    /// "4.2 cm" of host units
    std::string length(double host) const;
    /// The number of frames out of balance.
    int falling() const;
    std::string limb(int limb) const { return limb_name[static_cast<size_t>(limb)]; }
    Posture posture(int f) const;

private:
    std::vector<std::string> limb_name;
};

/// shot_path.cpp: the balance point's path among the feet, from above.
std::string path_picture(const Shot& shot, const char* id);
/// shot_plots.cpp: figures with numbers over time; `after`: the shot corrected, or NULL.
std::string plots(const Shot& shot, const Shot* after);

} // namespace aplomb::report
