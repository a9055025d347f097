// SPDX-License-Identifier: MIT
// Writes a glTF file again with all joints turned a little, in many frames of every clip: on keys, between them and
// outside. Arguments: the file, the result.
#include "aplomb/files.h"

#include <cmath>
#include <cstdio>
#include <string>
#include <vector>

namespace {

bool fails(aplomb_status status, const aplomb_error& error) {
    if (status < 0) std::fprintf(stderr, "%s\n", error.message);
    return status < 0;
}

std::vector<double> moments(const aplomb_character* character, int32_t clip) {
    std::vector<double> seconds(
        static_cast<std::size_t>(aplomb_character_key_times(character, clip, nullptr, 0)));
    aplomb_character_key_times(character, clip, seconds.data(), static_cast<int32_t>(seconds.size()));
    for (std::size_t key = seconds.size(); key-- > 1;)
        seconds.push_back(0.7 * seconds[key - 1] + 0.3 * seconds[key]);
    return seconds;
}

void turn(double* q) {
    q[0] += 0.05;
    const double length = std::sqrt(q[0] * q[0] + q[1] * q[1] + q[2] * q[2] + q[3] * q[3]);
    for (int k = 0; k < 4; ++k)
        q[k] /= length;
}

aplomb_status write_clip(const aplomb_character* character, int32_t clip, const char* out,
                         aplomb_error* error) {
    const auto joints =
        static_cast<std::size_t>(aplomb_figure_joint_count(aplomb_character_figure(character)));
    const std::vector<double> seconds = moments(character, clip);
    std::vector<double> translations(3 * joints * seconds.size()), rotations(4 * joints * seconds.size());
    for (std::size_t f = 0; f < seconds.size(); ++f) {
        double* places = &translations[3 * joints * f];
        double* turns = &rotations[4 * joints * f];
        const aplomb_status status = aplomb_character_pose(character, clip, seconds[f], places, turns, error);
        if (status < 0) return status;
        places[1] += 0.01;
        if (f % 5 != 4) // some frames stay as they are
            for (std::size_t joint = 0; joint < joints; ++joint)
                turn(turns + 4 * joint);
    }
    aplomb_corrected_frames frames;
    aplomb_corrected_frames_init(&frames, sizeof frames);
    frames.clip = clip, frames.count = static_cast<int32_t>(seconds.size());
    frames.seconds = seconds.data();
    frames.translations = translations.data(), frames.rotations = rotations.data();
    return aplomb_character_write_frames(character, &frames, out, error);
}

} // namespace

int main(int count, char** words) {
    if (count != 3) return 2;
    const char* from = words[1];
    int32_t clips = 1;
    for (int32_t clip = 0; clip < clips; ++clip, from = words[2]) {
        aplomb_character* character = nullptr;
        aplomb_error error{};
        if (fails(aplomb_character_open(from, nullptr, &character, &error), error)) return 1;
        clips = aplomb_character_clip_count(character);
        const bool failed = clips > 0 && fails(write_clip(character, clip, words[2], &error), error);
        aplomb_character_close(character);
        if (failed) return 1;
    }
    std::printf("%d clips\n", clips);
}
