// SPDX-License-Identifier: MIT
// Clips for tests: poses one after another, and their reading.
#pragma once

#include "aplomb/clip.h"

#include <gtest/gtest.h>

#include <cstddef>
#include <memory>
#include <vector>

namespace shot {

struct Destroy {
    void operator()(aplomb_clip_reading* reading) const { aplomb_clip_reading_destroy(reading); }
};

/// A reading with its arrays as spans.
struct Reading {
    std::unique_ptr<aplomb_clip_reading, Destroy> handle;
    template<class T>
    using List = const T* (*)(const aplomb_clip_reading*, int32_t*);
    template<class T>
    std::vector<T> list(List<T> call) const {
        int32_t count = 0;
        const T* items = call(handle.get(), &count);
        return {items, items + count};
    }
    std::vector<aplomb_clip_frame> frames() const { return list(aplomb_clip_frames); }
    std::vector<aplomb_stance_range> stances() const { return list(aplomb_clip_stances); }
    std::vector<aplomb_fall_range> falls() const { return list(aplomb_clip_falls); }
    std::vector<aplomb_flight> flights() const { return list(aplomb_clip_flights); }
    std::vector<aplomb_foot_step> steps() const { return list(aplomb_clip_steps); }
    std::vector<aplomb_clip_note> notes() const { return list(aplomb_clip_notes); }
};

struct Poses {
    std::vector<double> times, translations, rotations;
    void add(double time, const std::vector<double>& t, const std::vector<double>& r) {
        times.push_back(time);
        translations.insert(translations.end(), t.begin(), t.end());
        rotations.insert(rotations.end(), r.begin(), r.end());
    }
    aplomb_clip clip() const {
        aplomb_clip clip;
        aplomb_clip_init(&clip, sizeof clip);
        clip.frame_count = static_cast<int32_t>(times.size());
        clip.times = times.data();
        clip.translations = translations.data(), clip.rotations = rotations.data();
        return clip;
    }
};

inline Reading read(const aplomb_figure* figure, const aplomb_clip& clip,
                    const aplomb_clip_options* options = nullptr) {
    aplomb_clip_reading* reading = nullptr;
    aplomb_error error{};
    EXPECT_EQ(aplomb_clip_read(figure, &clip, options, nullptr, &reading, &error), APLOMB_OK)
        << error.message;
    return {std::unique_ptr<aplomb_clip_reading, Destroy>(reading)};
}

} // namespace shot
