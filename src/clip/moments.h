// SPDX-License-Identifier: MIT
// What stands out in a clip that was read frame by frame: falls, flights, steps, and what to say of them first.
#pragma once

#include "clip/stances.h"

/// All arrays lie in the same block of memory.
struct aplomb_clip_reading {
    aplomb_allocator allocator{};
    size_t block_size = 0;
    int32_t frame_count = 0, stance_count = 0, fall_count = 0, flight_count = 0, step_count = 0,
            note_count = 0;
    aplomb_clip_frame* frames = nullptr;
    aplomb_stance_range* stances = nullptr;
    aplomb_fall_range* falls = nullptr;
    aplomb_flight* flights = nullptr;
    aplomb_foot_step* steps = nullptr;
    aplomb_clip_note* notes = nullptr;
};

namespace aplomb {

/// The free-fall arc that is nearest to the centre's path between two frames, fitted without its ends; false: too few
/// frames to tell.
struct Arc {
    double gravity, deviation; // m/s^2; root mean square, metres
};
bool fit_fall(const Shot& shot, const Track& track, int first, int last, Arc& arc);
/// What frames in which nothing bears read as; false: too few to tell.
bool read_flight(const Shot& shot, const Track& track, int first, int last, aplomb_flight& flight);
void find_falls(const Shot& shot, aplomb_clip_reading& reading);
void find_flights(const Shot& shot, const Track& track, aplomb_clip_reading& reading);
void find_steps(const Shot& shot, const Stances& stances, aplomb_clip_reading& reading);
void write_notes(const Shot& shot, aplomb_clip_reading& reading);

/// The most falls that a clip of this length can have.
inline size_t most_falls(int frames) {
    return static_cast<size_t>(frames) / 2 + 1;
}
/// Set-downs of feet, which are fewer than ranges.
inline size_t most_steps(int ranges) {
    return static_cast<size_t>(ranges) + 1;
}

} // namespace aplomb
