// SPDX-License-Identifier: MIT
#include "clip/moments.h"

#include <algorithm>
#include <cmath>
#include <cstdarg>
#include <cstdio>
#include <cstring>

#include "capi/handles.h"

namespace aplomb {
namespace {

constexpr double least_flight = 0.1, least_free_fall = 0.15; // seconds
constexpr double free_fall_part = 0.3;                       // of g that a free fall may be off
// The rule sees a foot leave while the body still pushes, and sees it stand only after the body has landed.
constexpr double flight_ends = 0.15; // of a flight's frames, at either end, to which its arc is not fitted

/// Seconds from the start of a frame to the end of another.
double lasting(const Shot& shot, int first, int last) {
    const double frame = last + 1 < shot.count ? shot.times[last + 1] - shot.times[last]
                         : last > 0            ? shot.times[last] - shot.times[last - 1]
                                               : 0;
    return shot.times[last] - shot.times[first] + frame;
}

/// h = a + b t + c t^2 through heights, by least squares: c is half of the acceleration.
Arc fit_arc(const Shot& shot, const Track& track, int first, int last) {
    // Orthogonal polynomials on the grid: no system to solve, and no loss of digits at times far from zero.
    const double n = last - first + 1;
    double middle = 0, height = 0;
    for (int f = first; f <= last; ++f)
        middle += shot.times[f] / n, height += dot(shot.up, track.centre[f]) / n;
    double t2 = 0, t3 = 0, th = 0;
    for (int f = first; f <= last; ++f) {
        const double t = shot.times[f] - middle;
        t2 += t * t, t3 += t * t * t, th += t * (dot(shot.up, track.centre[f]) - height);
    }
    double qq = 0, qh = 0;
    const auto square = [&](double t) { return t * t - t * t3 / t2 - t2 / n; };
    for (int f = first; f <= last; ++f) {
        const double q = square(shot.times[f] - middle);
        qq += q * q, qh += q * (dot(shot.up, track.centre[f]) - height);
    }
    const double b = th / t2, c = qh / qq;
    double left = 0;
    for (int f = first; f <= last; ++f) {
        const double t = shot.times[f] - middle;
        const double off = dot(shot.up, track.centre[f]) - height - b * t - c * square(t);
        left += off * off / n;
    }
    return {-2 * c, std::sqrt(left)};
}

/// Notes by weight, the heaviest first; only the first few are kept.
class Notes {
public:
    explicit Notes(aplomb_clip_reading& reading) : reading_(reading) {}
    [[gnu::format(printf, 5, 6)]] void add(double weight, int frame, double value, const char* format, ...) {
        aplomb_clip_note note{frame, 0, value, {}};
        va_list rest;
        va_start(rest, format);
        std::vsnprintf(note.text, sizeof note.text, format, rest);
        va_end(rest);
        int place = 0;
        while (place < reading_.note_count && weight_[place] >= weight)
            ++place;
        if (place == APLOMB_MAX_CLIP_NOTES) return;
        reading_.note_count = std::min(reading_.note_count + 1, APLOMB_MAX_CLIP_NOTES);
        for (int k = reading_.note_count - 1; k > place; --k)
            reading_.notes[k] = reading_.notes[k - 1], weight_[k] = weight_[k - 1];
        reading_.notes[place] = note, weight_[place] = weight;
    }

private:
    aplomb_clip_reading& reading_;
    double weight_[APLOMB_MAX_CLIP_NOTES] = {};
};

/// A side of a four-footed figure has two legs.
const char* pair_of(const Shot& shot, int limb) {
    const Figure& figure = *shot.figure;
    if (figure.limbs[limb].kind == APLOMB_FORE_LEG) return " fore";
    for (int k = 0; k < figure.limb_count; ++k)
        if (figure.limbs[k].kind == APLOMB_FORE_LEG) return " hind";
    return "";
}

} // namespace

bool fit_fall(const Shot& shot, const Track& track, int first, int last, Arc& arc) {
    const int ends = static_cast<int>(flight_ends * (last + 1 - first));
    if (last - first - 2 * ends < 3) return false;
    arc = fit_arc(shot, track, first + ends, last - ends);
    return true;
}

void find_falls(const Shot& shot, aplomb_clip_reading& reading) {
    const auto falls = [&](int f) {
        const aplomb_clip_frame& frame = reading.frames[f];
        return frame.contact_count > 0 && !frame.in_balance && !frame.near_end;
    };
    for (int f = 0; f < shot.count; ++f) {
        if (!falls(f)) continue;
        int last = f;
        for (int k = f + 1; k < shot.count && shot.times[k] - shot.times[last] <= touch_rule.least_seconds;
             ++k)
            if (falls(k)) last = k;
        aplomb_fall_range range{f, last, f, 0, 0, 0};
        double worst = 0;
        for (int k = f; k <= last; ++k) {
            const aplomb_clip_frame& frame = reading.frames[k];
            if (falls(k) && frame.margin_asked - frame.margin > worst) {
                worst = frame.margin_asked - frame.margin;
                range.worst = k, range.margin = frame.margin, range.short_of = worst;
            }
        }
        if (shot.count == 1 || lasting(shot, f, last) >= touch_rule.least_seconds)
            reading.falls[reading.fall_count++] = range;
        f = last;
    }
}

bool read_flight(const Shot& shot, const Track& track, int first, int last, aplomb_flight& flight) {
    const double g = norm(shot.gravity), seconds = lasting(shot, first, last);
    Arc arc{};
    if (seconds < least_flight || !fit_fall(shot, track, first, last, arc)) return false;
    flight = {first,
              last,
              seconds >= least_free_fall && std::fabs(arc.gravity - g) <= free_fall_part * g,
              0,
              arc.gravity,
              arc.gravity > 0 ? g / arc.gravity : INFINITY,
              arc.deviation / shot.unit};
    return true;
}

void find_flights(const Shot& shot, const Track& track, aplomb_clip_reading& reading) {
    for (int f = 0, end = 0; f < shot.count; f = end + 1) {
        end = f;
        while (end < shot.count && reading.frames[end].contact_count == 0)
            ++end;
        const int last = end - 1;
        aplomb_flight flight;
        // How long a flight at an end of the clip lasts is not known.
        if (last < f || f == 0 || end == shot.count || !read_flight(shot, track, f, last, flight)) continue;
        for (int k = f; k <= last; ++k)
            reading.frames[k].flight = reading.flight_count;
        reading.flights[reading.flight_count++] = flight;
    }
}

void find_steps(const Shot& shot, const Stances& stances, aplomb_clip_reading& reading) {
    // Seconds: a longer time is a pause between steps, a briefer one a landing on both feet.
    constexpr double longest = 2, briefest = 0.15;
    constexpr double usual_leg = 0.9, usual_seconds = 0.53;
    int before = -1, limb_before = -1;
    for (int f = 1; f < shot.count; ++f)
        for (int limb = 0; limb < shot.figure->limb_count; ++limb) {
            if (shot.figure->limbs[limb].kind != APLOMB_LEG) continue;
            if (!stances.bears(limb, f) || stances.bears(limb, f - 1)) continue;
            const double seconds = before < 0 ? longest : shot.times[f] - shot.times[before];
            if (limb_before != limb && seconds >= briefest && seconds < longest) {
                const double ratio = seconds / usual_seconds;
                reading.steps[reading.step_count++] = {limb, f, seconds,
                                                       usual_leg * ratio * ratio / shot.unit};
            }
            before = f, limb_before = limb;
        }
}

void write_notes(const Shot& shot, aplomb_clip_reading& reading) {
    Notes notes(reading);
    const int named = shot.given.first_number; // added to frames in sentences
    const double leg = shot.leg / shot.unit, g = norm(shot.gravity), cm = 100 * shot.unit;
    for (int k = 0; k < reading.fall_count; ++k) {
        const aplomb_fall_range& fall = reading.falls[k];
        if (-fall.margin > leg && -reading.frames[fall.worst].still_margin < leg) {
            notes.add(fall.short_of / (.05 * leg), fall.worst, fall.margin,
                      "Frame %d: the balance point is %.1f leg lengths outside the feet (frames %d to %d), "
                      "where no "
                      "foot can push. Let the body start, stop or turn more gently there.",
                      named + fall.worst, -fall.margin / leg, named + fall.first, named + fall.last);
            continue;
        }
        notes.add(fall.short_of / (.05 * leg), fall.worst, fall.margin,
                  "Frame %d: the balance point is %.1f cm %s the feet (frames %d to %d). Bring the hips %.1f "
                  "cm over "
                  "them, or set the next foot down earlier.",
                  named + fall.worst, std::fabs(fall.margin) * cm,
                  fall.margin < 0 ? "outside" : "inside the edge of", named + fall.first, named + fall.last,
                  fall.short_of * cm);
    }
    for (int k = 0; k < reading.flight_count; ++k) {
        const aplomb_flight& flight = reading.flights[k];
        const double part = flight.gravity / g;
        // A fall as slow as this is none: something holds the body up that was not found.
        if (!(part > 0.3) || std::fabs(part - 1) < 0.15) continue;
        const int now = flight.last - flight.first + 1;
        notes.add(
            std::fabs(std::log2(part)) / .5, flight.first, part,
            "Frames %d to %d: the body falls at %.1f g: %s. At this height %.0f frames in the air would fit "
            "instead of %d.",
            named + flight.first, named + flight.last, part, part < 1 ? "floaty" : "hasty",
            now * std::sqrt(part), now);
    }
    int worst = -1;
    for (int k = 0; k < reading.stance_count; ++k)
        if (reading.stances[k].footing == APLOMB_FLAT && // on heel or ball a foot rolls
            reading.stances[k].slip > (worst < 0 ? .03 * leg : reading.stances[worst].slip))
            worst = k;
    if (worst >= 0) {
        const aplomb_stance_range& range = reading.stances[worst];
        notes.add(
            range.slip / (.08 * leg), range.first, range.slip,
            "Frames %d to %d: the %s%s foot slides %.1f cm while it stands. Keep it where it was set down.",
            named + range.first, named + range.last, aplomb_side_text(shot.figure->limbs[range.limb].side),
            pair_of(shot, range.limb), range.slip * cm);
    }
    const aplomb_foot_step* off = nullptr;
    const auto size_of = [&](const aplomb_foot_step& step) {
        return std::fabs(std::log2(step.implied_leg / leg));
    };
    for (int k = 0; k < reading.step_count; ++k)
        if (!off || size_of(reading.steps[k]) > size_of(*off)) off = &reading.steps[k];
    if (off && size_of(*off) > 1.5) // slow walks of recorded people imply twice their leg
        notes.add(.5 * size_of(*off), off->frame, off->implied_leg,
                  "Frame %d: a step in %.2f s suits a leg of %.2f m, not of %.2f m: the body reads %s. Take "
                  "%.2f s.",
                  named + off->frame, off->seconds, off->implied_leg * shot.unit, shot.leg,
                  off->implied_leg > leg ? "larger" : "smaller",
                  off->seconds * std::sqrt(leg / off->implied_leg));
}

} // namespace aplomb
