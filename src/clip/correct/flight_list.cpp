// SPDX-License-Identifier: MIT
#include "clip/correct/flight_list.h"

#include <algorithm>
#include <limits>

#include "clip/check.h"
#include "clip/smooth.h"

namespace aplomb {
namespace {

constexpr double falls = 0.7;         // of gravity: a body that falls slower still pushes, or lands already
constexpr double most_dropped = 0.25; // of a flight's frames, at either end, for that
constexpr double most_off = 0.05;     // of the leg: a path further off its arc is no fall
constexpr int least_found = 3;        // frames of a flight that is found
constexpr double nan = std::numeric_limits<double>::quiet_NaN();

/// With `first` after `last` it goes over a loop's seam.
bool has(const aplomb_flight_range& range, int frame) {
    const bool from = frame >= range.first, to = frame <= range.last;
    return range.first <= range.last ? from && to : from || to;
}

bool meet(const aplomb_flight_range& a, const aplomb_flight_range& b) {
    return has(a, b.first) || has(b, a.first);
}

const char* end_word(const Figure& figure, int limb) {
    return figure.limbs[limb].kind == APLOMB_ARM ? "hand" : "foot";
}

} // namespace

void FlightList::lay_out(Layout& layout) {
    places_.times = layout.take<double>(static_cast<size_t>(shot_.count));
    flights_ = layout.take<Flight>(
        std::max(most_falls(shot_.count) + 1, static_cast<size_t>(options_.flight_range_count)));
}

aplomb_status FlightList::refuse_contacts(const aplomb_clip_reading& reading, aplomb_error* error) const {
    const int number = shot_.given.first_number;
    int32_t count = 0;
    const aplomb_stance_range* stances = aplomb_clip_stances(&reading, &count);
    for (int k = 0; k < options_.flight_range_count; ++k)
        for (int r = 0; r < count; ++r) {
            const aplomb_flight_range& range = options_.flight_ranges[k];
            const aplomb_flight_range standing = {stances[r].first, stances[r].last};
            if (!meet(range, standing)) continue;
            return fail(
                error, APLOMB_BAD_ARGUMENT, "flight_ranges", k,
                "options.flight_ranges[%d] (frames %d to %d): the %s %s stands in frames %d to %d; in a "
                "flight nothing does.",
                k, number + range.first, number + range.last,
                aplomb_side_text(figure_.limbs[stances[r].limb].side), end_word(figure_, stances[r].limb),
                number + stances[r].first, number + stances[r].last);
        }
    return APLOMB_OK;
}

bool FlightList::flies(const aplomb_clip_frame* frames, int t) const {
    const aplomb_flight_range *given = options_.flight_ranges, *end = given + options_.flight_range_count;
    if (given == end) return frames[t].contact_count == 0;
    return std::any_of(given, end, [&](const aplomb_flight_range& range) { return has(range, t); });
}

/// Places begin in the middle of the longest time that the body does not fly.
aplomb_status FlightList::begin_rounds(const aplomb_clip_frame* frames, aplomb_error* error) {
    const int count = rounds_.count = shot_.count;
    const bool over_seam = options_.loop != 0 && count >= 3 && (flies(frames, 0) || flies(frames, count - 1));
    int longest = 0;
    for (int t = 0; over_seam && t < count; ++t) {
        int length = 0;
        while (length < count && !flies(frames, (t + length) % count))
            ++length;
        if (length > longest) longest = length, rounds_.start = (t + length / 2) % count;
    }
    if (longest < 2) {
        if (over_seam && options_.flight_range_count > 0)
            return fail(error, APLOMB_BAD_ARGUMENT, "flight_ranges", -1,
                        "options.flight_ranges leave no two frames of the loop, one after the other, in "
                        "which it does not fly.");
        rounds_.start = 0;
    }
    double* times = places_.times;
    places_ = shot_;
    places_.times = times;
    const double* of = shot_.times;
    const double round = count > 1 ? (of[count - 1] - of[0]) * count / (count - 1) : 0;
    for (int p = 0; p < count; ++p)
        times[p] = of[rounds_.frame(p)] + (rounds_.is_next(p) ? round : 0);
    return APLOMB_OK;
}

/// From frames to places.
void FlightList::turn(Track& track) const {
    if (rounds_.start == 0) return;
    for (PartTrack& part : track.part) {
        if (!part.exists) continue;
        std::rotate(part.height, part.height + rounds_.start, part.height + rounds_.count);
        for (int p = rounds_.count - rounds_.start; p < rounds_.count; ++p)
            part.height[p] += dot(shot_.up, travel_);
    }
    std::rotate(track.centre, track.centre + rounds_.start, track.centre + rounds_.count);
    for (int p = rounds_.count - rounds_.start; p < rounds_.count; ++p)
        track.centre[p] += travel_;
}

/// Whether the body has the same loads at all these places, with all of their weight.
bool FlightList::has_steady_loads(int first, int last) const {
    first = rounds_.frame(first), last = rounds_.frame(last);
    if (first > last) { // over the seam
        const auto is_whole = [&](const aplomb_carry& carry) {
            return carry.first == 0 && carry.last + 1 == shot_.count;
        };
        return std::all_of(shot_.given.carries, shot_.given.carries + shot_.given.carry_count, is_whole);
    }
    for (int r = 0; r < shot_.given.carry_count; ++r) {
        const aplomb_carry& carry = shot_.given.carries[r];
        if (carry.last < first || carry.first > last) continue;
        if (carried_part(shot_, carry, first) < 1 || carried_part(shot_, carry, last) < 1) return false;
    }
    return true;
}

void FlightList::take(const Track& track, int first, int last, bool given) {
    Arc arc{};
    const double gravity = fit_fall(places_, track, first, last, arc) ? arc.gravity : nan;
    flights_[count_++] = {first, last, given, gravity};
    with_loads_ = with_loads_ && has_steady_loads(first - 1, last + 1);
}

aplomb_status FlightList::find(const aplomb_clip_reading& reading, Track& track, aplomb_error* error) {
    const aplomb_clip_frame* frames = aplomb_clip_frames(&reading, nullptr);
    if (const auto s = begin_rounds(frames, error)) return s;
    if (rounds_.start > 0) travel_ = cycle_travel(track.centre, shot_.count, loop_travels * shot_.leg);
    turn(track);
    for (int k = 0; k < options_.flight_range_count; ++k)
        take(track, rounds_.place(options_.flight_ranges[k].first),
             rounds_.place(options_.flight_ranges[k].last), true);
    if (options_.flight_range_count == 0) {
        int32_t count = 0;
        const aplomb_flight* found = aplomb_clip_flights(&reading, &count);
        for (int32_t k = 0; k < count; ++k) {
            aplomb_flight flight = found[k];
            flight.first = rounds_.place(flight.first), flight.last = rounds_.place(flight.last);
            take_free_fall(frames, track, flight);
        }
        aplomb_flight over_seam;
        if (find_over_seam(frames, track, over_seam)) take_free_fall(frames, track, over_seam);
    }
    std::sort(flights_, flights_ + count_, [&](const Flight& a, const Flight& b) {
        return rounds_.frame(a.first) < rounds_.frame(b.first);
    });
    return APLOMB_OK;
}

/// Without frames at its ends in which the body still pushes or lands.
void FlightList::take_free_fall(const aplomb_clip_frame* frames, const Track& track,
                                const aplomb_flight& found) {
    if (found.free_fall == 0 || found.deviation * shot_.unit > most_off * shot_.leg) return;
    const double gravity = norm(shot_.gravity);
    const auto is_falling = [&](int p) {
        const aplomb_clip_frame& frame = frames[rounds_.frame(p)];
        const double* a = frame.acceleration;
        // At the ends of a loop, which reads as an open clip, it is not known.
        const Vec3 acceleration = rounds_.start > 0 && frame.near_end != 0
                                      ? curvature(places_.times, track.centre, places_.count, p)
                                      : Vec3{a[0], a[1], a[2]} * shot_.unit;
        return dot(acceleration, shot_.gravity) >= falls * gravity * gravity;
    };
    int first = found.first, last = found.last;
    const int droppable = std::max(1, static_cast<int>(most_dropped * (last + 1 - first)));
    while (first < found.first + droppable && !is_falling(first))
        ++first;
    while (last > found.last - droppable && !is_falling(last))
        --last;
    if (last + 1 - first >= least_found) take(track, first, last, false);
}

/// Which a reading, whose clip ends there, leaves out.
bool FlightList::find_over_seam(const aplomb_clip_frame* frames, const Track& track,
                                aplomb_flight& flight) const {
    if (rounds_.start == 0) return false;
    int first = shot_.count, last = -1;
    while (flies(frames, first - 1))
        --first;
    while (flies(frames, last + 1))
        ++last;
    return read_flight(places_, track, rounds_.place(first % shot_.count),
                       rounds_.place((last + shot_.count) % shot_.count), flight);
}

aplomb_status check_flights(const aplomb_clip_balance_options& o, const aplomb_clip& clip,
                            aplomb_error* error) {
    if (o.flight_range_count < 0 || (o.flight_range_count > 0 && !o.flight_ranges))
        return fail(error, APLOMB_BAD_ARGUMENT, "flight_range_count", -1,
                    "options.flight_range_count is %d%s.", o.flight_range_count,
                    o.flight_range_count < 0 ? "" : ", but there are none");
    if (o.flight_range_count > 0 && o.flights == 0)
        return fail(error, APLOMB_BAD_ARGUMENT, "flights", -1,
                    "options.flight_ranges are given, but options.flights is 0.");
    for (int k = 0; k < o.flight_range_count; ++k) {
        const aplomb_flight_range& range = o.flight_ranges[k];
        const Element element{"options", "flight_ranges", k};
        const bool over_seam = o.loop != 0 && range.first > range.last;
        const int last = clip.frame_count - 1;
        if (over_seam) {
            if (const auto s = check_frames(element, range.first, last, clip.frame_count, error)) return s;
            if (const auto s = check_frames(element, 0, range.last, clip.frame_count, error)) return s;
        } else if (const auto s = check_frames(element, range.first, range.last, clip.frame_count, error)) {
            return s;
        }
        if (o.loop == 0 && (range.first == 0 || range.last == last))
            return fail(
                error, APLOMB_BAD_ARGUMENT, "flight_ranges", k,
                "options.flight_ranges[%d] goes from frame %d to %d of %d; a flight needs a frame before "
                "it and one after it.",
                k, range.first, range.last, clip.frame_count);
        const auto meets = [&](const aplomb_flight_range& other) { return meet(range, other); };
        if (const auto s = check_meetings(element, o.flight_ranges, "", meets, error)) return s;
    }
    return APLOMB_OK;
}

} // namespace aplomb
