// SPDX-License-Identifier: MIT
// Reading clips of 1,000 to 30,000 frames of figures with 22, 60 and 300 joints on one thread: every frame stands, so
// every frame is read. Prints a table, seconds by the clock, the least of so many runs; `csv`: for plot.py.
#include <chrono>
#include <cmath>
#include <cstdio>
#include <string>

#include "aplomb/clip.h"
#include "scenes.h"

namespace {

constexpr int32_t joint_counts[] = {22, 60, 300};
constexpr int32_t frame_counts[] = {1000, 3000, 10000, 30000};
constexpr int runs = 5;
constexpr double rate = 24;

/// It sways over its feet and moves all joints but those of the legs.
class Shot {
public:
    explicit Shot(int32_t joints) : shape_(bench::figure_of(joints)), figure_(shape_.create()) {
        const lay::Pose pose(figure_.get(), shape_);
        start_ = pose.translations, turns_ = pose.rotations;
    }

    void make(int32_t frames) {
        times_.clear(), translations_.clear(), rotations_.clear();
        for (int32_t f = 0; f < frames; ++f) {
            const double time = f / rate;
            times_.push_back(time);
            std::vector<double> translations = start_, rotations = turns_;
            translations[0] += .02 * std::sin(2 * time);
            for (size_t j = 0; j < shape_.names.size(); ++j) {
                const std::string& name = shape_.names[j];
                if (j == 0 || name.find("thigh") != name.npos || name.find("shank") != name.npos ||
                    name.find("foot") != name.npos || name.find("toe") != name.npos ||
                    name.find("hips") != name.npos)
                    continue;
                const double half = .02 * std::sin(1.5 * time + static_cast<double>(j));
                rotations[4 * j] = std::sin(half), rotations[4 * j + 1] = rotations[4 * j + 2] = 0;
                rotations[4 * j + 3] = std::cos(half);
            }
            translations_.insert(translations_.end(), translations.begin(), translations.end());
            rotations_.insert(rotations_.end(), rotations.begin(), rotations.end());
        }
    }

    /// Seconds; below zero where it cannot be read as meant.
    double read() const {
        aplomb_clip clip;
        aplomb_clip_init(&clip, sizeof clip);
        clip.frame_count = static_cast<int32_t>(times_.size());
        clip.times = times_.data();
        clip.translations = translations_.data(), clip.rotations = rotations_.data();
        double least = 1e9;
        for (int run = 0; run < runs; ++run) {
            aplomb_clip_reading* reading = nullptr;
            const auto start = std::chrono::steady_clock::now();
            if (aplomb_clip_read(figure_.get(), &clip, nullptr, nullptr, &reading, nullptr)) return -1;
            const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - start;
            const bool stands = aplomb_clip_frames(reading, nullptr)[clip.frame_count / 2].contact_count == 2;
            aplomb_clip_reading_destroy(reading);
            if (!stands) return -1;
            least = std::fmin(least, taken.count());
        }
        return least;
    }

private:
    lay::LayFigure shape_;
    lay::FigureHandle figure_;
    std::vector<double> start_, turns_, times_, translations_, rotations_;
};

} // namespace

int main(int count, char** words) {
    const bool csv = count > 1 && std::string(words[1]) == "csv";
    std::printf(csv ? "frames" : "%8s", "frames");
    for (const int32_t joints : joint_counts)
        std::printf(csv ? ",%d joints" : "%9d joints", joints);
    std::vector<Shot> shots;
    for (const int32_t joints : joint_counts)
        shots.emplace_back(joints);
    for (const int32_t frames : frame_counts) {
        std::printf(csv ? "\n%d" : "\n%8d", frames);
        for (Shot& shot : shots) {
            shot.make(frames);
            const double seconds = shot.read();
            if (seconds < 0) return std::puts("\nA clip is not read as meant."), 1;
            std::printf(csv ? ",%.6f" : "%14.3f s", seconds);
            std::fflush(stdout);
        }
    }
    std::puts("");
    return 0;
}
