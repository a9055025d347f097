// SPDX-License-Identifier: MIT
// aplomb_clip_*: a clip is checked, tracked, its stances are found, every frame is read as if still, and then in motion.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <limits>

#include "base/error.h"
#include "base/scratch_block.h"
#include "base/structs.h"
#include "clip/balance_point.h"
#include "clip/check.h"
#include "clip/moments.h"
#include "clip/owned.h"
#include "figure/frame.h"

namespace aplomb {
namespace {

constexpr double unknown_ends = 0.1;    // seconds
constexpr double rides_outside = 0.075; // of the leg: how far outside recorded people let the point go
constexpr int most_tasks = 16, frames_per_round = 2048;

/// The part of a still reading that the motion is measured against.
struct Footprint {
    int corner_count = 0;
    Vec3 corners[APLOMB_MAX_EDGES]; // metres
};

/// What each task has for itself.
struct Worker {
    Tracker tracker;
    aplomb_solver* solver = nullptr;
    aplomb_status status = APLOMB_OK;
    aplomb_error error{};
};

class Solvers {
public:
    Solvers(Worker* workers, int count) : workers_(workers), count_(count) {}
    Solvers(const Solvers&) = delete;
    Solvers& operator=(const Solvers&) = delete;
    ~Solvers() {
        for (int k = 0; k < count_; ++k)
            aplomb_solver_destroy(workers_[k].solver);
    }

private:
    Worker* workers_;
    int count_;
};

class Reader {
public:
    Reader(const aplomb_figure& figure, const aplomb_clip& clip, const aplomb_clip_options& options,
           const aplomb_allocator& allocator)
        : figure_(figure), options_(options), allocator_(allocator),
          tasks_(options.run ? std::min(most_tasks, clip.frame_count) : 1) {
        shot_.begin(figure, clip);
    }
    aplomb_status run(aplomb_clip_reading** reading, aplomb_error* error);

private:
    enum class Pass { track, still };

    void lay_out(Layout& layout);
    void set_up();
    /// All frames of a pass, round by round, by the caller's task function.
    aplomb_status go_through(Pass pass, aplomb_error* error);
    aplomb_status frame_still(Worker& worker, int frame);
    void smooth_motion();
    /// Nothing moves in a key that is held.
    bool is_held() const { return options_.blocking != 0; }
    void frame_in_motion(int frame);
    aplomb_status make_results(aplomb_error* error);
    bool is_cancelled(double part) const {
        return options_.progress && options_.progress(part, options_.progress_user) != 0;
    }

    const aplomb_figure& figure_;
    const aplomb_clip_options& options_;
    aplomb_allocator allocator_;
    const int tasks_;
    Shot shot_;
    Track track_;
    Stances stances_;
    StanceMemory stance_memory_;
    Smoother smoother_, momentum_smoother_;
    Vec3* centre_ = nullptr;                   // the body's, smoothed
    double* between_ = nullptr;                // times between frames
    Vec3* load_centre_[APLOMB_MAX_LOADS] = {}; // by `which`
    Vec3* load_acceleration_[APLOMB_MAX_LOADS] = {};
    Footprint* footprint_ = nullptr;
    double* shown_ = nullptr; // a pose
    Worker* workers_ = nullptr;
    int some_foot_ = -1; // a limb with a sole
    aplomb_clip_reading* reading_ = nullptr;

    // These belong to the round that is under way.
    Pass pass_ = Pass::track;
    int round_first_ = 0, round_last_ = 0;
    static void task(void* reader, int32_t index);
};

void Reader::lay_out(Layout& layout) {
    const size_t frames = static_cast<size_t>(shot_.count);
    shot_.times = layout.take<double>(frames);
    track_ = {};
    track_.lay_out(layout, figure_, frames);
    stances_.lay_out(layout, figure_, frames);
    stance_memory_.lay_out(layout, track_, frames);
    smoother_.lay_out(layout, frames);
    momentum_smoother_.lay_out(layout, frames);
    centre_ = layout.take<Vec3>(frames);
    between_ = layout.take<double>(frames);
    for (int r = 0; r < shot_.given.carry_count; ++r) {
        const int which = shot_.given.carries[r].which;
        bool first = true;
        for (int q = 0; q < r; ++q)
            first = first && shot_.given.carries[q].which != which;
        if (!first) continue;
        load_centre_[which] = layout.take<Vec3>(frames);
        load_acceleration_[which] = layout.take<Vec3>(frames);
    }
    footprint_ = layout.take<Footprint>(frames);
    shown_ = layout.take<double>(7 * static_cast<size_t>(figure_.joint_count));
    workers_ = layout.take<Worker>(static_cast<size_t>(tasks_));
    if (!workers_) {
        Tracker measured;
        for (int k = 0; k < tasks_; ++k)
            measured.lay_out(layout, figure_);
        return;
    }
    for (int k = 0; k < tasks_; ++k)
        workers_[k].tracker.lay_out(layout, figure_);
}

void Reader::set_up() {
    shot_.fill_times();
    for (int f = 0; f + 1 < shot_.count; ++f)
        between_[f] = (shot_.times[f] + shot_.times[f + 1]) / 2;
    for (int k = 0; k < tasks_; ++k)
        workers_[k].tracker.set_up(figure_, shot_.unit);
    some_foot_ = some_foot(figure_);
}

void Reader::task(void* reader, int32_t index) {
    Reader& my = *static_cast<Reader*>(reader);
    Worker& worker = my.workers_[index];
    const int64_t frames = my.round_last_ - my.round_first_ + 1;
    const int first = my.round_first_ + static_cast<int>(frames * index / my.tasks_);
    const int last = my.round_first_ + static_cast<int>(frames * (index + 1) / my.tasks_) - 1;
    if (my.pass_ == Pass::track) {
        if (first <= last)
            worker.status = worker.tracker.run(my.shot_, first, last, my.track_, &worker.error);
        return;
    }
    for (int f = first; f <= last && worker.status == APLOMB_OK; ++f)
        worker.status = my.frame_still(worker, f);
}

aplomb_status Reader::go_through(Pass pass, aplomb_error* error) {
    pass_ = pass;
    for (round_first_ = 0; round_first_ < shot_.count; round_first_ = round_last_ + 1) {
        round_last_ = std::min(round_first_ + frames_per_round, shot_.count) - 1;
        const double done = static_cast<double>(round_first_) / shot_.count;
        if (is_cancelled(pass == Pass::track ? .4 * done : .4 + .6 * done))
            return fail(error, APLOMB_CANCELLED, "progress", -1,
                        "The clip's reading was ended by the caller.");
        if (options_.run)
            options_.run(task, this, tasks_, options_.run_user);
        else
            task(this, 0);
        for (int k = 0; k < tasks_; ++k) {
            if (workers_[k].status == APLOMB_OK) continue;
            if (error) *error = workers_[k].error;
            return workers_[k].status;
        }
    }
    return APLOMB_OK;
}

aplomb_status Reader::frame_still(Worker& worker, int frame) {
    aplomb_clip_frame& to = reading_->frames[frame];
    aplomb_contact contacts[APLOMB_MAX_CONTACTS];
    int count = 0;
    for (int limb = 0; limb < figure_.limb_count; ++limb) {
        if (!stances_.bears(limb, frame)) continue;
        contacts[count] = aplomb_contact_make(limb, APLOMB_BEARING);
        contacts[count++].footing = stances_.footing(limb, frame);
    }
    to.contact_count = count;
    // Without a contact there is no ground, but centres of mass are wanted all the same: some foot is then taken to bear.
    if (count == 0) contacts[count++] = aplomb_contact_make(some_foot_, APLOMB_BEARING);

    GivenFrame given;
    give_frame(shot_, frame, given);
    given.situation.contacts = contacts, given.situation.contact_count = count;
    aplomb_reading still;
    aplomb_reading_init(&still, sizeof still);
    if (const auto s = aplomb_read(worker.solver, &given.situation, options_.reading, &still, &worker.error))
        return at_frame(s, shot_.given.first_number + frame, &worker.error);

    std::copy_n(still.centre, 3, to.centre);
    to.trunk_fore = still.trunk_fore, to.trunk_side = still.trunk_side;
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    std::fill_n(to.reads_as, APLOMB_MAX_LOADS, nan);
    for (int k = 0; k < given.situation.load_count; ++k) {
        if (to.contact_count > 0) to.reads_as[given.which[k]] = still.loads[k].natural;
        const double* at = still.load_centre[k];
        load_centre_[given.which[k]][frame] = Vec3{at[0], at[1], at[2]} * shot_.unit;
    }
    if (to.contact_count == 0) return APLOMB_OK;
    std::copy_n(still.balance_point, 3, to.still_point);
    to.still_margin = still.margin, to.margin_asked = still.margin_asked, to.in_balance = still.in_balance;
    for (int limb = 0; limb < APLOMB_MAX_LIMBS; ++limb)
        to.share[limb] = 0;
    for (int k = 0; k < still.contact_count; ++k)
        if (still.contacts[k].limb >= 0) to.share[still.contacts[k].limb] = still.contacts[k].share;
    Footprint& print = footprint_[frame];
    print.corner_count = still.edge_count;
    for (int k = 0; k < still.edge_count; ++k)
        print.corners[k] = Vec3{still.area[k][0], still.area[k][1], still.area[k][2]} * shot_.unit;
    return APLOMB_OK;
}

void Reader::smooth_motion() {
    std::copy_n(track_.centre, shot_.count, centre_);
    smoother_.set_up(shot_.times, shot_.count, motion_frequency);
    smoother_.smooth(centre_);
    momentum_smoother_.set_up(between_, shot_.count - 1, motion_frequency);
    momentum_smoother_.smooth(track_.momentum);
    for (int r = 0; r < shot_.given.carry_count; ++r) {
        const aplomb_carry& carry = shot_.given.carries[r];
        const int count = carry.last - carry.first + 1;
        const double* times = shot_.times + carry.first;
        Vec3* places = load_centre_[carry.which] + carry.first;
        momentum_smoother_.set_up(times, count, motion_frequency);
        momentum_smoother_.smooth(places);
        for (int k = 0; k < count; ++k)
            load_acceleration_[carry.which][carry.first + k] = curvature(times, places, count, k);
    }
}

void Reader::frame_in_motion(int frame) {
    aplomb_clip_frame& to = reading_->frames[frame];
    const double unit = shot_.unit;
    to.time = shot_.times[frame];
    to.flight = -1;
    const Vec3 velocity =
        is_held() ? Vec3{} : slope(shot_.times, centre_, shot_.count, frame) - shot_.ground_velocity;
    Moving bodies[1 + APLOMB_MAX_LOADS];
    int count = 1;
    bodies[0].mass = shot_.body_mass;
    bodies[0].centre = centre_[frame];
    bodies[0].acceleration = is_held() ? Vec3{} : curvature(shot_.times, centre_, shot_.count, frame);
    if (shot_.count > 2 && !is_held()) {
        const int k = std::clamp(frame, 1, shot_.count - 2);
        bodies[0].momentum_rate =
            (track_.momentum[k] - track_.momentum[k - 1]) / (between_[k] - between_[k - 1]);
    }
    for (int limb = 0; limb < figure_.limb_count; ++limb)
        to.give[limb] = track_.give[limb][frame] / unit;
    put(to.velocity, velocity / unit);
    put(to.acceleration, bodies[0].acceleration / unit);
    for (int r = 0; r < shot_.given.carry_count; ++r) {
        const aplomb_carry& carry = shot_.given.carries[r];
        if (frame < carry.first || frame > carry.last) continue;
        Moving& load = bodies[count++];
        load.mass = carry.load.mass * carried_part(shot_, carry, frame);
        load.centre = load_centre_[carry.which][frame];
        load.acceleration = is_held() ? Vec3{} : load_acceleration_[carry.which][frame];
    }
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    if (to.contact_count == 0) {
        for (double* point : {to.still_point, to.point, to.extrapolated})
            std::fill_n(point, 3, nan);
        std::fill_n(to.share, APLOMB_MAX_LIMBS, nan);
        to.still_margin = to.margin = to.margin_asked = to.extrapolated_margin = nan;
        return;
    }
    const Footprint& print = footprint_[frame];
    const auto margin_at = [&](const Vec3& point) {
        return inside(print.corners, print.corner_count, shot_.up, point) / unit;
    };
    const Vec3 still = Vec3{to.still_point[0], to.still_point[1], to.still_point[2]} * unit;
    const double height =
        dot(shot_.up, Vec3{to.centre[0], to.centre[1], to.centre[2]} * unit - print.corners[0]);
    const Vec3 level = reject(velocity, shot_.up);
    const Vec3 ahead = extrapolated(still, level, std::max(height, 0.0), norm(shot_.gravity));
    put(to.extrapolated, ahead / unit);
    to.extrapolated_margin = margin_at(ahead);

    Vec3 shift;
    if (!motion_shift(bodies, count, print.corners[0], shot_.up, shot_.gravity, shift)) {
        std::fill_n(to.point, 3, nan);
        to.margin = nan;
        to.in_balance = 1; // on its way into or out of the air: nothing is to be held over the feet
        return;
    }
    const double travel = smoothstep((norm(velocity) / shot_.walk_speed - 0.02) / 0.1);
    const bool moves = norm(shift) > 0;
    const double ends =
        std::min(shot_.times[frame] - shot_.times[0], shot_.times[shot_.count - 1] - shot_.times[frame]);
    to.near_end = moves && ends < unknown_ends;
    if (!moves && travel == 0) { // bit for bit the still one
        std::copy_n(to.still_point, 3, to.point);
        to.margin = to.still_margin;
        return;
    }
    put(to.point, (still + shift) / unit);
    to.margin = margin_at(still + shift);
    to.margin_asked = (1 - travel) * to.margin_asked - travel * rides_outside * shot_.leg / unit;
    constexpr double tolerance = 1e-6; // metres, as for a still pose
    to.in_balance = to.margin * unit >= to.margin_asked * unit - tolerance;
}

aplomb_status Reader::make_results(aplomb_error* error) {
    const int ranges = list_ranges(shot_, track_, stances_, nullptr);
    if (ranges == 0 || some_foot_ < 0)
        return fail(error, APLOMB_NO_SUPPORT, "clip", -1,
                    "In none of the clip's %d frames anything bears; give its stances or the velocity of its "
                    "belt, or look at "
                    "its size, its up axis and its ground.",
                    shot_.count);
    const auto arrange = [&](Layout& layout, aplomb_clip_reading& to) {
        to.frames = layout.take<aplomb_clip_frame>(static_cast<size_t>(shot_.count));
        to.stances = layout.take<aplomb_stance_range>(static_cast<size_t>(ranges));
        to.falls = layout.take<aplomb_fall_range>(most_falls(shot_.count));
        to.flights = layout.take<aplomb_flight>(most_falls(shot_.count));
        to.steps = layout.take<aplomb_foot_step>(most_steps(ranges));
        to.notes = layout.take<aplomb_clip_note>(APLOMB_MAX_CLIP_NOTES);
    };
    if (const auto s = make_owned(allocator_, "reading", arrange, reading_, error)) return s;
    reading_->frame_count = shot_.count;
    reading_->stance_count = list_ranges(shot_, track_, stances_, reading_->stances);
    for (int r = 0; is_held() && r < reading_->stance_count; ++r)
        reading_->stances[r].slip = 0; // from key to key a foot steps
    return APLOMB_OK;
}

aplomb_status Reader::run(aplomb_clip_reading** reading, aplomb_error* error) {
    const ScratchBlock block(allocator_, [&](Layout& layout) { lay_out(layout); });
    if (!block) return block.refused(error);
    Layout layout = block.layout();
    lay_out(layout);
    set_up();
    const Solvers solvers(workers_, tasks_);
    for (int k = 0; k < tasks_; ++k)
        if (const auto s = aplomb_solver_create(&figure_, &allocator_, &workers_[k].solver, error)) return s;

    if (const auto s = go_through(Pass::track, error)) return s;
    if (shot_.given.stances)
        take_stances(shot_, stances_);
    else if (is_held()) {
        if (const auto s = take_shown_stances(shot_, shown_, stances_, error)) return s;
    } else
        find_stances(shot_, track_, stance_memory_, stances_);
    if (const auto s = make_results(error)) return s;
    if (const auto s = go_through(Pass::still, error)) {
        aplomb_clip_reading_destroy(reading_);
        return s;
    }
    smooth_motion();
    for (int f = 0; f < shot_.count; ++f)
        frame_in_motion(f);
    find_falls(shot_, *reading_);
    if (!is_held()) {
        find_flights(shot_, track_, *reading_);
        find_steps(shot_, stances_, *reading_);
    }
    write_notes(shot_, *reading_);
    if (is_cancelled(1)) {
        aplomb_clip_reading_destroy(reading_);
        return fail(error, APLOMB_CANCELLED, "progress", -1, "The clip's reading was ended by the caller.");
    }
    *reading = reading_;
    return APLOMB_OK;
}

} // namespace
} // namespace aplomb

using namespace aplomb;

void aplomb_clip_init(aplomb_clip* clip, size_t size) {
    init_struct(clip, size, aplomb_clip{});
}
void aplomb_clip_options_init(aplomb_clip_options* options, size_t size) {
    init_struct(options, size, aplomb_clip_options{});
}

aplomb_status aplomb_clip_read(const aplomb_figure* figure, const aplomb_clip* clip,
                               const aplomb_clip_options* options, const aplomb_allocator* allocator,
                               aplomb_clip_reading** reading, aplomb_error* error) {
    if (!reading)
        return fail(error, APLOMB_BAD_ARGUMENT, "reading", -1, "reading is NULL; it takes the new reading.");
    *reading = nullptr;
    aplomb_clip given{};
    if (const auto s = take_clip(figure, clip, given, error)) return s;
    if (const auto s = check_allocator(allocator, error)) return s;
    aplomb_clip_options how{};
    if (options) {
        if (const auto s = check_struct(options, "options", error)) return s;
        how = read_struct(options, how);
    }
    return Reader(*figure, given, how, allocator_or_default(allocator)).run(reading, error);
}

void aplomb_clip_reading_destroy(aplomb_clip_reading* reading) {
    destroy_owned(reading);
}

const aplomb_clip_frame* aplomb_clip_frames(const aplomb_clip_reading* reading, int32_t* count) {
    return listed(reading, &aplomb_clip_reading::frames, &aplomb_clip_reading::frame_count, count);
}
const aplomb_stance_range* aplomb_clip_stances(const aplomb_clip_reading* reading, int32_t* count) {
    return listed(reading, &aplomb_clip_reading::stances, &aplomb_clip_reading::stance_count, count);
}
const aplomb_fall_range* aplomb_clip_falls(const aplomb_clip_reading* reading, int32_t* count) {
    return listed(reading, &aplomb_clip_reading::falls, &aplomb_clip_reading::fall_count, count);
}
const aplomb_flight* aplomb_clip_flights(const aplomb_clip_reading* reading, int32_t* count) {
    return listed(reading, &aplomb_clip_reading::flights, &aplomb_clip_reading::flight_count, count);
}
const aplomb_foot_step* aplomb_clip_steps(const aplomb_clip_reading* reading, int32_t* count) {
    return listed(reading, &aplomb_clip_reading::steps, &aplomb_clip_reading::step_count, count);
}
const aplomb_clip_note* aplomb_clip_notes(const aplomb_clip_reading* reading, int32_t* count) {
    return listed(reading, &aplomb_clip_reading::notes, &aplomb_clip_reading::note_count, count);
}
