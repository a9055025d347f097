// SPDX-License-Identifier: MIT
#include "clip/correct/flights.h"

#include <algorithm>
#include <cstring>
#include <limits>

#include "base/scratch_block.h"
#include "capi/situation.h"
#include "clip/check.h"
#include "clip/correct/arc.h"
#include "clip/correct/arc_report.h"
#include "clip/correct/flight_list.h"
#include "clip/correct/result.h"
#include "clip/correct/whole_body.h"
#include "clip/handles.h"
#include "figure/frame.h"

namespace aplomb {
namespace {

constexpr double read_part = 0.1; // of all work, each of two readings

/// The caller's progress for a part of the work.
struct PartOfProgress {
    const aplomb_clip_balance_options* options;
    double from, part;

    static int32_t call(double done, void* user) {
        const auto* my = static_cast<const PartOfProgress*>(user);
        return my->options->progress(my->from + my->part * done, my->options->progress_user);
    }
};

class FlightBalancer {
public:
    FlightBalancer(const aplomb_figure& figure, const aplomb_clip& clip,
                   const aplomb_clip_balance_options& options, const aplomb_allocator& allocator)
        : figure_(figure), options_(options), allocator_(allocator), flights_(shot_, figure, options) {
        shot_.begin(figure, clip);
    }
    aplomb_status run(void* translations, void* rotations, aplomb_clip_balance_result** result,
                      aplomb_error* error);

private:
    void lay_out(Layout& layout);
    aplomb_status read(const aplomb_clip& clip, double from, DestroyReading& to, aplomb_error* error) const;
    aplomb_status balance(const aplomb_clip& clip, double from, void* translations, void* rotations,
                          aplomb_clip_balance_result** result, aplomb_error* error) const;
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
    FlightList flights_;
    bool found_ = false;
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
    flights_.lay_out(layout);
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
            flights_.places().times + before,
            centre_ + before,
            room_ + before,
            shot_.up,
            shot_.gravity,
            shot_.leg};
}

aplomb_status FlightBalancer::bring_onto_arcs(const aplomb_clip_reading& reading, aplomb_error* error) {
    if (const auto s = tracker_.run(shot_, 0, shot_.count - 1, track_, error)) return s;
    const aplomb_clip_frame* frames = aplomb_clip_frames(&reading, nullptr);
    if (found_) {
        flights_.turn(track_);
    } else if (const auto s = flights_.find(reading, track_, error)) {
        return s;
    }
    found_ = true;
    for (int p = 0; p < shot_.count; ++p) {
        const double* c = frames[flights_.rounds().frame(p)].centre;
        before_[p] = way_[p];
        const Vec3 with_loads = Vec3{c[0], c[1], c[2]} * shot_.unit + flights_.travel(p);
        centre_[p] = (flights_.with_loads() ? with_loads : track_.centre[p]) - way_[p];
    }
    const auto stands = [&](int p) { return frames[flights_.rounds().frame(p)].contact_count > 0; };
    for (int k = 0; k < flights_.count(); ++k) {
        const Flight& f = flights_[k];
        int leaves = f.first - 1, lands = f.last + 1;
        while (leaves > 0 && !stands(leaves))
            --leaves;
        while (lands + 1 < shot_.count && !stands(lands))
            ++lands;
        const double ground = lowest(leaves), rise = lowest(lands) - ground;
        const double start = flights_.places().times[leaves],
                     seconds = flights_.places().times[lands] - start;
        for (int p = f.first; p <= f.last; ++p) {
            const double below = ground + rise * (flights_.places().times[p] - start) / seconds;
            room_[p] = std::max(0.0, lowest(p) - dot(shot_.up, before_[p]) - below);
        }
        finder_.find(flying(f), wish_ + f.first - 1);
        for (int p = f.first; p <= f.last; ++p) {
            const int t = flights_.rounds().frame(p);
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
    to.first = flights_.rounds().frame(f.first), to.last = flights_.rounds().frame(f.last);
    to.given = f.given, to.gravity = f.gravity;
    for (int p = f.first; p <= f.last; ++p)
        to.moved = std::max(to.moved, norm(way_[p]) / shot_.unit);
    to.slack = slack_of(flying(f), way_ + before);
    report_speeds(flights_.places(), wish_, before, after, to);
    write_arc_text(shot_, shot_.given.first_number, {1, after - before}, to);
}

/// What balancing and arcs did together.
aplomb_status FlightBalancer::add_to_controls(int place, aplomb_clip_balanced& to,
                                              aplomb_error* error) const {
    const aplomb_contact contact = aplomb_contact_make(some_foot(figure_), APLOMB_BEARING);
    const int t = flights_.rounds().frame(place);
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
    if (const auto s = make_correction(allocator_, balanced.frame_count, balanced.range_count,
                                       flights_.count(), made.result, error))
        return s;
    aplomb_clip_balance_result& to = *made.result;
    for (int p = 0; p < shot_.count; ++p)
        wish_[p] = centre_[p] + way_[p];
    std::copy_n(balanced.frames, balanced.frame_count, to.frames);
    std::copy_n(balanced.ranges, balanced.range_count, to.ranges);
    for (int k = 0; k < flights_.count(); ++k) {
        report(flights_[k], to.arcs[k]);
        for (int p = flights_[k].first; p <= flights_[k].last; ++p)
            if (const auto s = add_to_controls(p, to.frames[flights_.rounds().frame(p)], error)) return s;
    }
    *result = made.result, made.result = nullptr;
    return APLOMB_OK;
}

// ---- All of it -----------------------------------------------------------------------------------------------

aplomb_status FlightBalancer::run(void* translations, void* rotations, aplomb_clip_balance_result** result,
                                  aplomb_error* error) {
    DestroyReading keyed;
    if (const auto s = read(shot_.given, 0, keyed, error)) return s;
    if (const auto s = flights_.refuse_contacts(*keyed.reading, error)) return s;
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
    if (flights_.count() > 0) clip.stances = stances_, clip.stance_count = stance_count_;
    DestroyResult balanced;
    const aplomb_status status = balance(clip, read_part, translations_, rotations_, &balanced.result, error);
    if (status < 0) return status;
    DestroyReading after;
    if (flights_.count() > 0) {
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

aplomb_status balance_with_flights(const aplomb_figure& figure, const aplomb_clip& clip,
                                   const aplomb_clip_balance_options& options,
                                   const aplomb_allocator& allocator, void* translations, void* rotations,
                                   aplomb_clip_balance_result** result, aplomb_error* error) {
    return FlightBalancer(figure, clip, options, allocator).run(translations, rotations, result, error);
}

} // namespace aplomb
