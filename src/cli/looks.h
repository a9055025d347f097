// SPDX-License-Identifier: MIT
// How a character looks, where its file says so: its skin in the poses drawn, and its first camera.
#pragma once

#include <optional>
#include <vector>

#include "cli/character.h"

namespace aplomb::cli {

class Looks {
public:
    /// Reads nothing where nothing is drawn.
    Looks(const Character& character, const Moment& moment, bool wanted);

    /// Sets mesh, camera and the keyed pose's skin, and that of a corrected pose where there is one. This
    /// object must outlive the picture.
    void dress(const Character& character, aplomb_picture& picture);

private:
    std::optional<aplomb_mesh> m_mesh;
    std::optional<aplomb_camera> m_camera;
    std::vector<double> m_before, m_after;
};

} // namespace aplomb::cli
