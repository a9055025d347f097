// SPDX-License-Identifier: MIT
// What was read of a clip, for people, tables and programs.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "aplomb/clip.h"
#include "cli/clip_ranges.h"
#include "json/json.h"

namespace aplomb::cli {

struct DestroyReading {
    void operator()(aplomb_clip_reading* reading) const { aplomb_clip_reading_destroy(reading); }
};
using ClipReading = std::unique_ptr<aplomb_clip_reading, DestroyReading>;

template<class T>
std::vector<T> listed(const ClipReading& reading, const T* (*call)(const aplomb_clip_reading*, int32_t*)) {
    int32_t count = 0;
    const T* items = call(reading.get(), &count);
    return {items, items + count};
}

/// How many loads there are; `which` counts them.
int thing_count(const Carries& carries);

/// What was read, and of what. `clip` points into the vectors beside it.
struct Shot {
    const Character& character;
    std::string name; // of the clip
    int first = 0;    // what its first frame is called
    double unit = 1;
    std::vector<double> times, translations, rotations;
    Carries carries;
    std::vector<aplomb_stance_range> stances; // given; empty where all were found
    aplomb_clip clip;
    ClipReading reading;
    bool belt_sought = false; // its velocity was to be found
    bool blocking = false;    // each key is read alone
    bool steps = false;       // each frame is held until the next

    int count() const { return static_cast<int>(times.size()); }
    std::string frames(int from, int to) const {
        return std::to_string(first + from) + " to " + std::to_string(first + to);
    }
    /// Seconds from the start of a frame to the end of another.
    double lasting(int from, int to) const;
};

/// Null: not known.
Json known(double value);

std::string text_of(const Shot& shot);
/// One row per frame; lengths in the file's unit and axes; empty: not known.
std::string csv_of(const Shot& shot);
std::string json_of(const Shot& shot);

} // namespace aplomb::cli
