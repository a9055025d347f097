// SPDX-License-Identifier: MIT
#include "clip/correct/flights.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>

#include "base/scratch_block.h"
#include "capi/situation.h"
#include "clip/check.h"
#include "clip/correct/arc.h"
#include "clip/correct/arc_report.h"
#include "clip/correct/result.h"
#include "clip/correct/rounds.h"
#include "clip/correct/whole_body.h"
#include "clip/handles.h"
#include "clip/moments.h"
#include "clip/smooth.h"
#include "figure/frame.h"

namespace aplomb {
namespace {

constexpr double falls = 0.7;         // of gravity: a body that falls slower still pushes, or lands already
constexpr double most_dropped = 0.25; // of a flight's frames, at either end, for that
constexpr double most_off = 0.05;     // of the leg: a path further off its arc is no fall
constexpr int least_found = 3;        // frames of a flight that is found
constexpr double read_part = 0.1;     // of all work, each of two readings
constexpr double nan = std::numeric_limits<double>::quiet_NaN();

/// In places.
struct Flight {
    int first, last;
    bool given;
    double gravity; // that the keys implied
};

/// The caller's progress for a part of the work.
struct PartOfProgress {
    const aplomb_clip_balance_options* options;
    double from, part;

    static int32_t call(double done, void* user) {
        const auto* my = static_cast<const PartOfProgress*>(user);
        return my->options->progress(my->from + my->part * done, my->options->progress_user);
    }
};

/// With `first` after `last` it goes over a loop's seam.
bool has(const aplomb_flight_range& range, int frame) {
    const bool from = frame >= range.first, to = frame <= range.last;
    return range.first <= range.last ? from && to : from || to;
}

bool meet(const aplomb_flight_range& a, const aplomb_flight_range& b) {
    return has(a, b.first) || has(b, a.first);
}

class FlightBalancer {
public:
    FlightBalancer(const aplomb_figure& figure, const aplomb_clip& clip,
                   const aplomb_clip_balance_options& options, const aplomb_allocator& allocator)
        : figure_(figure), options_(options), allocator_(allocator) {
        shot_.begin(figure, clip);
        gravity_ = norm(shot_.gravity);
    }
    aplomb_status run(void* translations, void* rotations, aplomb_clip_balance_result** result,
                      aplomb_error* error);

private:
    void lay_out(Layout& layout);
    aplomb_status read(const aplomb_clip& clip, double from, DestroyReading& to, aplomb_error* error) const;
    aplomb_status balance(const aplomb_clip& clip, double from, void* translations, void* rotations,
                          aplomb_clip_balance_result** result, aplomb_error* error) const;
    aplomb_status refuse_contacts(const aplomb_clip_reading& reading, aplomb_error* error) const;
    bool flies(const aplomb_clip_frame* frames, int frame) const;
    aplomb_status begin_rounds(const aplomb_clip_frame* frames, aplomb_error* error);
    void turn_track();
    void find(const aplomb_clip_reading& reading);
    void take_free_fall(const aplomb_clip_frame* frames, const aplomb_flight& found);
    bool find_over_seam(const aplomb_clip_frame* frames, aplomb_flight& flight) const;
    void take(int first, int last, bool given);
    bool has_steady_loads(int first, int last) const;
    aplomb_status bring_onto_arcs(const aplomb_clip_reading& reading, aplomb_error* error);
    double lowest(int frame) const;
    Flying flying(const Flight& flight) const;
    aplomb_status make_result(const aplomb_clip_balance_result& balanced, aplomb_clip_balance_result** result,
                              aplomb_error* error) const;
    void report(const Flight& flight, aplomb_arc& to) const;
    aplomb_status add_to_controls(int place, aplomb_clip_balanced& to, aplomb_error* error) const;

    const aplomb_figure& figure_;
    const aplomb_clip_balance_options& options_;
    const aplomb_allocator& allocator_;
    Shot shot_; // its poses are ours once they are copied
    // Frames are counted by places, for a loop from where no flight lies over its seam; the times are theirs.
    Rounds rounds_;
    Shot places_;
    Vec3 travel_; // in a round
    double gravity_ = 0;
    bool with_loads_ = true; // what falls is the body with its loads, which are the same throughout
    int flight_count_ = 0;
    Flight* flights_ = nullptr;
    Track track_;
    Tracker tracker_;
    ArcFinder finder_;
    WholeBody body_;
    // Per place: the centre as if it was not moved, how far it is, how far it was when it was read, room for more.
    Vec3 *centre_ = nullptr, *way_ = nullptr, *before_ = nullptr, *wish_ = nullptr;
    double* room_ = nullptr;
    BodyPlan plan_{};
    PoseRoom pose_room_{};
    unsigned char *translations_ = nullptr, *rotations_ = nullptr;
    aplomb_stance_range* stances_ = nullptr;
    int32_t stance_count_ = 0;
};

void FlightBalancer::lay_out(Layout& layout) {
    const size_t frames = static_cast<size_t>(shot_.count), joints = static_cast<size_t>(figure_.joint_count);
    shot_.times = layout.take<double>(frames);
    places_.times = layout.take<double>(frames);
    flights_ = layout.take<Flight>(
        std::max(most_falls(shot_.count) + 1, static_cast<size_t>(options_.flight_range_count)));
    track_ = {};
    track_.lay_out(layout, figure_, frames);
    tracker_.lay_out(layout, figure_);
    finder_.lay_out(layout, frames);
    body_.lay_out(layout, figure_);
    for (Vec3** vectors : {&centre_, &way_, &before_, &wish_})
        *vectors = layout.take<Vec3>(frames);
    room_ = layout.take<double>(frames);
    plan_.trunk = layout.take<uint8_t>(joints);
    plan_.needed = layout.take<int32_t>(joints), plan_.is_needed = layout.take<uint8_t>(joints);
    pose_room_.lay_out(layout, joints);
    translations_ = layout.take<unsigned char>(3 * joints * frames * shot_.number_size());
    rotations_ = layout.take<unsigned char>(4 * joints * frames * shot_.number_size());
    stances_ = layout.take<aplomb_stance_range>(static_cast<size_t>(stance_count_));
}

aplomb_status FlightBalancer::read(const aplomb_clip& clip, double from, DestroyReading& to,
                                   aplomb_error* error) const {
    aplomb_clip_options how;
    aplomb_clip_options_init(&how, sizeof how);
    how.reading = options_.correction;
    how.run = options_.run, how.run_user = options_.run_user;
    PartOfProgress part{&options_, from, read_part};
    if (options_.progress) how.progress = PartOfProgress::call, how.progress_user = &part;
    return aplomb_clip_read(&figure_, &clip, &how, &allocator_, &to.reading, error);
}

/// Without its flights.
aplomb_status FlightBalancer::balance(const aplomb_clip& clip, double from, void* translations,
                                      void* rotations, aplomb_clip_balance_result** result,
                                      aplomb_error* error) const {
    aplomb_clip_balance_options how = options_;
    how.struct_size = sizeof how;
    how.flights = how.flight_range_count = 0;
    PartOfProgress part{&options_, from, 1 - 2 * read_part};
    if (options_.progress) how.progress = PartOfProgress::call, how.progress_user = &part;
    return aplomb_clip_balance(&figure_, &clip, &how, &allocator_, translations, rotations, result, error);
}

// ---- Which frames --------------------------------------------------------------------------------------------

const char* end_word(const Figure& figure, int limb) {
    return figure.limbs[limb].kind == APLOMB_ARM ? "hand" : "foot";
}

aplomb_status FlightBalancer::refuse_contacts(const aplomb_clip_reading& reading, aplomb_error* error) const {
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

bool FlightBalancer::flies(const aplomb_clip_frame* frames, int t) const {
    const aplomb_flight_range *given = options_.flight_ranges, *end = given + options_.flight_range_count;
    if (given == end) return frames[t].contact_count == 0;
    return std::any_of(given, end, [&](const aplomb_flight_range& range) { return has(range, t); });
}

/// Places begin in the middle of the longest time that the body does not fly.
aplomb_status FlightBalancer::begin_rounds(const aplomb_clip_frame* frames, aplomb_error* error) {
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
void FlightBalancer::turn_track() {
    if (rounds_.start == 0) return;
    for (PartTrack& part : track_.part) {
        if (!part.exists) continue;
        std::rotate(part.height, part.height + rounds_.start, part.height + rounds_.count);
        for (int p = rounds_.count - rounds_.start; p < rounds_.count; ++p)
            part.height[p] += dot(shot_.up, travel_);
    }
    std::rotate(track_.centre, track_.centre + rounds_.start, track_.centre + rounds_.count);
    for (int p = rounds_.count - rounds_.start; p < rounds_.count; ++p)
        track_.centre[p] += travel_;
}

/// Whether the body has the same loads at all these places, with all of their weight.
bool FlightBalancer::has_steady_loads(int first, int last) const {
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

void FlightBalancer::take(int first, int last, bool given) {
    Arc arc{};
    const double gravity = fit_fall(places_, track_, first, last, arc) ? arc.gravity : nan;
    flights_[flight_count_++] = {first, last, given, gravity};
    with_loads_ = with_loads_ && has_steady_loads(first - 1, last + 1);
}

void FlightBalancer::find(const aplomb_clip_reading& reading) {
    for (int k = 0; k < options_.flight_range_count; ++k)
        take(rounds_.place(options_.flight_ranges[k].first), rounds_.place(options_.flight_ranges[k].last),
             true);
    if (options_.flight_range_count == 0) {
        const aplomb_clip_frame* frames = aplomb_clip_frames(&reading, nullptr);
        int32_t count = 0;
        const aplomb_flight* found = aplomb_clip_flights(&reading, &count);
        for (int32_t k = 0; k < count; ++k) {
            aplomb_flight flight = found[k];
            flight.first = rounds_.place(flight.first), flight.last = rounds_.place(flight.last);
            take_free_fall(frames, flight);
        }
        aplomb_flight over_seam;
        if (find_over_seam(frames, over_seam)) take_free_fall(frames, over_seam);
    }
    std::sort(flights_, flights_ + flight_count_, [&](const Flight& a, const Flight& b) {
        return rounds_.frame(a.first) < rounds_.frame(b.first);
    });
}

/// Without frames at its ends in which the body still pushes or lands.
void FlightBalancer::take_free_fall(const aplomb_clip_frame* frames, const aplomb_flight& found) {
    if (found.free_fall == 0 || found.deviation * shot_.unit > most_off * shot_.leg) return;
    const auto is_falling = [&](int p) {
        const aplomb_clip_frame& frame = frames[rounds_.frame(p)];
        const double* a = frame.acceleration;
        // At the ends of a loop, which reads as an open clip, it is not known.
        const Vec3 acceleration = rounds_.start > 0 && frame.near_end != 0
                                      ? curvature(places_.times, track_.centre, places_.count, p)
                                      : Vec3{a[0], a[1], a[2]} * shot_.unit;
        return dot(acceleration, shot_.gravity) >= falls * gravity_ * gravity_;
    };
    int first = found.first, last = found.last;
    const int droppable = std::max(1, static_cast<int>(most_dropped * (last + 1 - first)));
    while (first < found.first + droppable && !is_falling(first))
        ++first;
    while (last > found.last - droppable && !is_falling(last))
        --last;
    if (last + 1 - first >= least_found) take(first, last, false);
}

/// Which a reading, whose clip ends there, leaves out.
bool FlightBalancer::find_over_seam(const aplomb_clip_frame* frames, aplomb_flight& flight) const {
    if (rounds_.start == 0) return false;
    int first = shot_.count, last = -1;
    while (flies(frames, first - 1))
        --first;
    while (flies(frames, last + 1))
        ++last;
    return read_flight(places_, track_, rounds_.place(first % shot_.count),
                       rounds_.place((last + shot_.count) % shot_.count), flight);
}

// ---- One pass over all flights -------------------------------------------------------------------------------

/// The height of the lowest sole.
double FlightBalancer::lowest(int t) const {
    double least = std::numeric_limits<double>::infinity();
    for (const PartTrack& part : track_.part)
        if (part.exists) least = std::min(least, part.height[t]);
    return least;
}

Flying FlightBalancer::flying(const Flight& f) const {
    const int before = f.first - 1;
    return {f.last + 1 - f.first,
            places_.times + before,
            centre_ + before,
            room_ + before,
            shot_.up,
            shot_.gravity,
            shot_.leg};
}

aplomb_status FlightBalancer::bring_onto_arcs(const aplomb_clip_reading& reading, aplomb_error* error) {
    if (const auto s = tracker_.run(shot_, 0, shot_.count - 1, track_, error)) return s;
    const aplomb_clip_frame* frames = aplomb_clip_frames(&reading, nullptr);
    const bool is_first = rounds_.count == 0;
    if (is_first) {
        if (const auto s = begin_rounds(frames, error)) return s;
        if (rounds_.start > 0) travel_ = cycle_travel(track_.centre, shot_.count, loop_travels * shot_.leg);
    }
    turn_track();
    if (is_first) find(reading);
    for (int p = 0; p < shot_.count; ++p) {
        const double* c = frames[rounds_.frame(p)].centre;
        before_[p] = way_[p];
        const Vec3 with_loads = Vec3{c[0], c[1], c[2]} * shot_.unit + (rounds_.is_next(p) ? travel_ : Vec3{});
        centre_[p] = (with_loads_ ? with_loads : track_.centre[p]) - way_[p];
    }
    const auto stands = [&](int p) { return frames[rounds_.frame(p)].contact_count > 0; };
    for (int k = 0; k < flight_count_; ++k) {
        const Flight& f = flights_[k];
        int leaves = f.first - 1, lands = f.last + 1;
        while (leaves > 0 && !stands(leaves))
            --leaves;
        while (lands + 1 < shot_.count && !stands(lands))
            ++lands;
        const double ground = lowest(leaves), rise = lowest(lands) - ground;
        const double start = places_.times[leaves], seconds = places_.times[lands] - start;
        for (int p = f.first; p <= f.last; ++p) {
            const double below = ground + rise * (places_.times[p] - start) / seconds;
            room_[p] = std::max(0.0, lowest(p) - dot(shot_.up, before_[p]) - below);
        }
        finder_.find(flying(f), wish_ + f.first - 1);
        for (int p = f.first; p <= f.last; ++p) {
            const int t = rounds_.frame(p);
            const double amount = options_.correction->amount * (options_.amounts ? options_.amounts[t] : 1);
            const Vec3 way = wish_[p] * std::min(amount, 1.0);
            if (const auto s = body_.move(shot_, t, way - way_[p], translations_, rotations_, error))
                return s;
            way_[p] = way;
        }
    }
    return APLOMB_OK;
}

// ---- What comes of it ----------------------------------------------------------------------------------------

void FlightBalancer::report(const Flight& f, aplomb_arc& to) const {
    const int before = f.first - 1, after = f.last + 1;
    to.first = rounds_.frame(f.first), to.last = rounds_.frame(f.last);
    to.given = f.given, to.gravity = f.gravity;
    for (int p = f.first; p <= f.last; ++p)
        to.moved = std::max(to.moved, norm(way_[p]) / shot_.unit);
    to.slack = slack_of(flying(f), way_ + before);
    report_speeds(places_, wish_, before, after, to);
    write_arc_text(shot_, shot_.given.first_number, {1, after - before}, to);
}

/// What balancing and arcs did together.
aplomb_status FlightBalancer::add_to_controls(int place, aplomb_clip_balanced& to,
                                              aplomb_error* error) const {
    const aplomb_contact contact = aplomb_contact_make(some_foot(figure_), APLOMB_BEARING);
    const int t = rounds_.frame(place);
    GivenFrame given;
    give_frame(shot_, t, given);
    given.situation.contacts = &contact, given.situation.contact_count = 1;
    Key key;
    if (const auto s = bring_key(figure_, plan_, given.situation, pose_room_, key, error))
        return at_frame(s, shot_.given.first_number + t, error);
    const Vec3 way = direction_in(figure_.frame, way_[place]) / shot_.unit;
    const Vec3 level = reject(way_[place], shot_.up) / shot_.unit;
    double* shift = to.controls.hips_shift;
    const double more[] = {dot(key.ground.left, way), dot(key.ground.normal, way), dot(key.ground.fore, way)},
                 gone[] = {level.x, level.y, level.z};
    for (int a = 0; a < 3; ++a)
        shift[a] += more[a], to.way[a] += gone[a];
    return APLOMB_OK;
}

aplomb_status FlightBalancer::make_result(const aplomb_clip_balance_result& balanced,
                                          aplomb_clip_balance_result** result, aplomb_error* error) const {
    DestroyResult made;
    if (const auto s = make_correction(allocator_, balanced.frame_count, balanced.range_count, flight_count_,
                                       made.result, error))
        return s;
    aplomb_clip_balance_result& to = *made.result;
    for (int p = 0; p < shot_.count; ++p)
        wish_[p] = centre_[p] + way_[p];
    std::copy_n(balanced.frames, balanced.frame_count, to.frames);
    std::copy_n(balanced.ranges, balanced.range_count, to.ranges);
    for (int k = 0; k < flight_count_; ++k) {
        report(flights_[k], to.arcs[k]);
        for (int p = flights_[k].first; p <= flights_[k].last; ++p)
            if (const auto s = add_to_controls(p, to.frames[rounds_.frame(p)], error)) return s;
    }
    *result = made.result, made.result = nullptr;
    return APLOMB_OK;
}

// ---- All of it -----------------------------------------------------------------------------------------------

aplomb_status FlightBalancer::run(void* translations, void* rotations, aplomb_clip_balance_result** result,
                                  aplomb_error* error) {
    DestroyReading keyed;
    if (const auto s = read(shot_.given, 0, keyed, error)) return s;
    if (const auto s = refuse_contacts(*keyed.reading, error)) return s;
    const aplomb_stance_range* stances = aplomb_clip_stances(keyed.reading, &stance_count_);
    const ScratchBlock block(allocator_, [&](Layout& layout) { lay_out(layout); });
    if (!block) return block.refused(error);
    Layout layout = block.layout();
    lay_out(layout);
    shot_.fill_times();
    std::copy_n(stances, stance_count_, stances_);
    const size_t pose = shot_.number_size() * static_cast<size_t>(figure_.joint_count);
    for (int t = 0; t < shot_.count; ++t) {
        const auto row = static_cast<size_t>(t);
        std::memcpy(translations_ + 3 * pose * row, shot_.translations(t), 3 * pose);
        std::memcpy(rotations_ + 4 * pose * row, shot_.rotations(t), 4 * pose);
    }
    const Shot asked = shot_;
    aplomb_clip& clip = shot_.given;
    clip.translations = translations_, clip.rotations = rotations_;
    clip.translations_stride = clip.rotations_stride = 0;
    tracker_.set_up(figure_, shot_.unit);
    make_body_plan(figure_, plan_);
    body_.set_up(figure_);
    if (const auto s = bring_onto_arcs(*keyed.reading, error)) return s;

    // What stood as it was keyed stands.
    if (flight_count_ > 0) clip.stances = stances_, clip.stance_count = stance_count_;
    DestroyResult balanced;
    const aplomb_status status = balance(clip, read_part, translations_, rotations_, &balanced.result, error);
    if (status < 0) return status;
    DestroyReading after;
    if (flight_count_ > 0) {
        if (const auto s = read(clip, 1 - read_part, after, error)) return s;
        if (const auto s = bring_onto_arcs(*after.reading, error)) return s;
    }
    if (result)
        if (const auto s = make_result(*balanced.result, result, error)) return s;
    for (int t = 0; t < shot_.count; ++t) {
        const auto row = static_cast<size_t>(t);
        asked.put_out(t, translations_ + 3 * pose * row, rotations_ + 4 * pose * row, translations,
                      rotations);
    }
    return status;
}

} // namespace

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

aplomb_status balance_with_flights(const aplomb_figure& figure, const aplomb_clip& clip,
                                   const aplomb_clip_balance_options& options,
                                   const aplomb_allocator& allocator, void* translations, void* rotations,
                                   aplomb_clip_balance_result** result, aplomb_error* error) {
    return FlightBalancer(figure, clip, options, allocator).run(translations, rotations, result, error);
}

} // namespace aplomb
