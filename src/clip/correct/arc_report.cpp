// SPDX-License-Identifier: MIT
#include "clip/correct/arc_report.h"

#include <algorithm>
#include <cmath>
#include <cstdarg>
#include <cstdio>
#include <limits>

#include "clip/correct/arc.h"

namespace aplomb {
namespace {

constexpr double speed_seconds = 0.05; // from which a speed is told, and three frames
constexpr double noticed_speed = 0.05; // m/s
constexpr double noticed_slack = 0.05; // m/s^2
constexpr double nan = std::numeric_limits<double>::quiet_NaN();

/// How many frames before or after are looked at for a speed.
int frames_of_speed(const double* times, int count, bool before) {
    const int end = before ? count - 1 : 0, step = before ? -1 : 1;
    int frames = std::min(count, 3);
    while (frames < count && std::fabs(times[end + step * frames] - times[end]) <= speed_seconds)
        ++frames;
    return frames;
}

/// Over `count` frames from `first`, at the last of them (`at_last`) or at the first.
bool velocity(const Shot& shot, const Vec3* centres, int first, int count, bool at_last, Vec3& velocity) {
    const int frames = frames_of_speed(shot.times + first, count, at_last);
    if (at_last) first += count - frames;
    return end_velocity(shot.times + first, centres + first, frames, at_last, velocity);
}

/// Sentences, one after another, cut where there is no room.
struct Text {
    char* next;
    size_t room;

    [[gnu::format(printf, 2, 3)]] void say(const char* format, ...) {
        va_list values;
        va_start(values, format);
        const int length = std::vsnprintf(next, room, format, values);
        va_end(values);
        const size_t used = std::min(room - 1, static_cast<size_t>(std::max(length, 0)));
        next += used, room -= used;
    }
};

} // namespace

void report_speeds(const Shot& shot, const Vec3* centres, int before, int after, aplomb_arc& to) {
    const double gravity = norm(shot.gravity), unit = shot.unit;
    const Vec3 up = -shot.gravity / gravity;
    const int flown = after - before + 1;
    to.seconds = shot.times[after] - shot.times[before];
    Vec3 comes, leaves, lands, goes;
    const bool knows_before = velocity(shot, centres, 0, before + 1, true, comes),
               knows_after = velocity(shot, centres, after, shot.count - after, false, goes);
    velocity(shot, centres, before, flown, false, leaves);
    velocity(shot, centres, before, flown, true, lands);
    put(to.take_off, knows_before ? (leaves - comes) / unit : Vec3{nan, nan, nan});
    put(to.landing, knows_after ? (goes - lands) / unit : Vec3{nan, nan, nan});
    to.fitting_seconds =
        knows_before && knows_after ? fitting_seconds(dot(up, comes), dot(up, goes), gravity) : nan;
}

void write_arc_text(const Shot& shot, int number, const ArcFrames& frames, aplomb_arc& to) {
    const Vec3 up = -shot.gravity / norm(shot.gravity);
    const auto upwards = [&](const double* jump) { // m/s
        return std::isnan(jump[0]) ? 0 : dot(up, Vec3{jump[0], jump[1], jump[2]}) * shot.unit;
    };
    const double off = upwards(to.take_off), on = upwards(to.landing);
    Text text{to.text, sizeof to.text};
    text.say("Frames %d to %d fall freely, the body moved by up to %.1f cm", number + to.first,
             number + to.last, to.moved * shot.unit * 100);
    if (to.slack > noticed_slack) text.say(", short of it by up to %.1f m/s2", to.slack);
    if (std::max(std::fabs(off), std::fabs(on)) < noticed_speed) return text.say("; no speed jumps.");
    text.say(". The speed upwards jumps by %+.2f m/s at take-off and %+.2f at landing", off, on);
    const double fitting = std::isnan(to.fitting_seconds)
                               ? 0
                               : to.fitting_seconds * frames.to_after / to.seconds - frames.to_first;
    if (fitting < .5) return text.say("; no time in the air would fit the keyed speeds.");
    const long fit = std::lround(fitting), flown = frames.to_after - frames.to_first;
    if (fit != flown)
        text.say("; %ld frames in the air instead of %ld would fit the keyed speeds.", fit, flown);
    else
        text.say("; its time in the air fits the keyed speeds.");
}

} // namespace aplomb
