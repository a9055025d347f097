// SPDX-License-Identifier: MIT
// The figure of a character file: its joints, what a description adds, and what the caller asks for.
#pragma once

#include "io/character_file.h"
#include "io/description.h"

#include <memory>
#include <vector>

namespace aplomb::io {

struct FigureDeleter {
    void operator()(aplomb_figure* figure) const { aplomb_figure_destroy(figure); }
};
using FigurePointer = std::unique_ptr<aplomb_figure, FigureDeleter>;

/// `description`: with unit, axes and mass table settled. `pose`: the one that the figure is measured in.
FigurePointer make_figure(const CharacterFile& file, const Description& description, const Pose& pose);

/// A figure for its roles only: without given masses and soles. Unit and mass table need not be settled. Null where none
/// can be made.
FigurePointer probe_figure(const CharacterFile& file, Description description, const Pose& pose);

/// In host units, from ground to crown.
double stature_of(const aplomb_figure& figure);

/// Describes all that was found, so that the description gives the same figure again. `given`: what it was made from.
Description describe_figure(const aplomb_figure& figure, const Description& given);

} // namespace aplomb::io
