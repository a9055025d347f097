// SPDX-License-Identifier: MIT
// How well recorded frames come back from their dots. Arguments: frames of each clip [2], seed [1], views of each [12].
#include "fit/drawn_recording.h"

int main(int count, char** words) {
    const int frames = count > 1 ? std::atoi(words[1]) : 2;
    const auto seed = static_cast<unsigned>(count > 2 ? std::atoi(words[2]) : 1);
    const int views = count > 3 ? std::atoi(words[3]) : 12;
    drawn::draw_clips({"02_01", "02_03", "02_04", "02_06", "03_01", "05_03", "06_01", "07_04", "12_01",
                       "13_11", "13_35", "115"},
                      frames, views, seed);
}
