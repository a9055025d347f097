// SPDX-License-Identifier: MIT
// Dots on a drawing, as people write them down: a JSON document, or a CSV of name, x and y.
#pragma once

#include <string>

#include "aplomb/drawing.h"

namespace aplomb::cli {

struct DotsFile {
    aplomb_dots dots;
    std::string image; // as the file names it, beside itself; or empty
    int count = 0;
};

DotsFile read_dots(const std::string& path);

/// A picture's bytes and size in pixels.
struct Image {
    std::string bytes, kind; // "image/png"
    double width = 0, height = 0;
};

/// PNG, JPEG or SVG; a Failure begins with `option` and the path.
Image read_image(const std::string& option, const std::string& path);

} // namespace aplomb::cli
