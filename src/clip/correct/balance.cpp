// SPDX-License-Identifier: MIT
// aplomb_clip_balance: a clip is read, every frame is asked, ranges are solved one after the other, and all of it is
// written at the end.
#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>

#include "aplomb/clip.h"
#include "base/error.h"
#include "base/scratch_block.h"
#include "base/structs.h"
#include "clip/check.h"
#include "clip/correct/asking.h"
#include "clip/correct/blocking.h"
#include "clip/correct/flight_list.h"
#include "clip/correct/flights.h"
#include "clip/correct/hanging_arms.h"
#include "clip/correct/held.h"
#include "clip/correct/interior.h"
#include "clip/correct/result.h"
#include "model/put_pose.h"
#include "pose/options.h"

namespace aplomb {
namespace {

constexpr double ordinary = 1e-4, strict = 1e-8; // tolerances of a proof
constexpr int most_steps = 150, polishing_steps = 300;
constexpr int most_sure_steps = 300;
constexpr Interior::Start quick{1, 0.1};
constexpr double nearly = 0.01, near_barrier = 1e-2; // where a run starts near an answer
constexpr int most_givings = 8;                      // rounds in which held limbs settle
constexpr double negligible = 5e-6;                  // metres, of the balance point in motion
constexpr double out_of_reach = 1e-5;                // metres of slack
constexpr double believable = 1e-3;                  // metres or radians past a limit
constexpr int most_together = 1 << 17;               // frames of a range, some 60 kB each
constexpr double read_part = 0.2, asked_part = 0.1;  // of all work

class Corrector final : Ticker {
public:
    Corrector(const aplomb_figure& figure, const aplomb_clip& clip,
              const aplomb_clip_balance_options& options, const aplomb_options& correction,
              const aplomb_allocator& allocator)
        : figure_(figure), options_(options), correction_(correction), allocator_(allocator),
          asking_(figure, shot_, options_, correction_) {
        shot_.begin(figure, clip);
    }
    aplomb_status run(void* translations, void* rotations, aplomb_clip_balance_result** result,
                      aplomb_error* error);

private:
    void lay_out(Layout& layout);
    aplomb_status read(aplomb_error* error);
    aplomb_status make_result(aplomb_error* error);
    aplomb_status solve_ranges(aplomb_error* error);
    aplomb_status correct(const Span& span, aplomb_clip_range& to, aplomb_error* error);
    Proof solve(Range& range, Interior& interior);
    double let_give(Range& range);
    void write(const Moment& frame, Changed& changed);
    void judge(Range& range, int index);
    void scale_amounts(Range& range);
    void finish(Range& range);
    Vec3 against(const Key& s, const Body& body, int joint, const Quat& base, const Quat& base_keyed) const;
    void put_out(void* translations, void* rotations) const;
    bool goes_on() override;

    const aplomb_figure& figure_;
    const aplomb_clip_balance_options& options_;
    const aplomb_options& correction_;
    aplomb_allocator allocator_;
    Shot shot_;
    Asking asking_;
    HangingArms arms_;
    Span* spans_ = nullptr;
    PoseRoom written_{};
    unsigned char* staged_ = nullptr; // corrected poses, in the host's numbers
    size_t staged_size_ = 0;
    aplomb_clip_balance_result* result_ = nullptr;
    double done_ = 0, part_ = 0, within_ = 0; // of the work: before the range, of the range, of its steps
    aplomb_status status_ = APLOMB_OK;
};

void Corrector::lay_out(Layout& layout) {
    const size_t frames = static_cast<size_t>(shot_.count), joints = static_cast<size_t>(figure_.joint_count);
    shot_.times = layout.take<double>(frames);
    asking_.lay_out(layout);
    spans_ = layout.take<Span>(frames / 2 + 1);
    written_.lay_out(layout, joints);
}

bool Corrector::goes_on() {
    if (!options_.progress) return true;
    within_ += (1 - within_) / 20; // a range takes some 20 steps
    return options_.progress(std::min(done_ + part_ * within_, 1.0), options_.progress_user) == 0;
}

aplomb_status cancelled(aplomb_error* error) {
    return fail(error, APLOMB_CANCELLED, "progress", -1, "The clip's balancing was ended by the caller.");
}

struct PartOfProgress {
    const aplomb_clip_balance_options* options;

    static int32_t call(double part, void* user) {
        const auto* my = static_cast<const PartOfProgress*>(user);
        return my->options->progress(part * read_part, my->options->progress_user);
    }
};

aplomb_status Corrector::read(aplomb_error* error) {
    aplomb_clip_options how;
    aplomb_clip_options_init(&how, sizeof how);
    how.reading = &correction_;
    how.run = options_.run, how.run_user = options_.run_user;
    PartOfProgress part{&options_};
    if (options_.progress) how.progress = PartOfProgress::call, how.progress_user = &part;
    aplomb_clip_reading* reading = nullptr;
    if (const auto s = aplomb_clip_read(&figure_, &shot_.given, &how, &allocator_, &reading, error)) return s;
    asking_.set_up(*reading);
    aplomb_clip_reading_destroy(reading);
    done_ = read_part, part_ = asked_part;
    if (const auto s = asking_.find_motion(error)) return s;
    return asking_.find_needs(error);
}

aplomb_status Corrector::make_result(aplomb_error* error) {
    const int ranges = asking_.find_ranges(spans_);
    if (const auto s = make_correction(allocator_, shot_.count, ranges, 0, result_, error)) return s;
    const double unit = figure_.frame.metres_per_unit;
    for (int t = 0; t < shot_.count; ++t) {
        const Asked& asked = asking_[t];
        aplomb_clip_balanced& to = result_->frames[t];
        to.time = shot_.times[t];
        to.range = -1;
        to.fault = asked.fault, to.exempt = asked.exempt, to.exempt_part = asked.exempt_part;
        constexpr double nan = std::numeric_limits<double>::quiet_NaN();
        to.margin_before = to.margin_after = asked.bears ? asked.margin / unit : nan;
        to.margin_asked = asked.bears ? asked.margin_asked / unit : nan;
        put(to.due, length_out(figure_.frame, asked.due));
    }
    for (int r = 0; r < ranges; ++r) {
        result_->ranges[r].first = spans_[r].first, result_->ranges[r].last = spans_[r].last;
        for (int t = spans_[r].first; t <= spans_[r].last; ++t)
            result_->frames[t].range = r;
    }
    return APLOMB_OK;
}

// ---- One range -----------------------------------------------------------------------------------------------

/// Whether the answer is a pose at all: without convergence it may lie far past a limit.
bool keeps_limits(const Range& range) {
    for (int k = 0; k < range.count(); ++k)
        if (!(range[k].problem->hard_violation(range[k].at) <= believable)) return false;
    return true;
}

aplomb_status Corrector::correct(const Span& span, aplomb_clip_range& to, aplomb_error* error) {
    Range range;
    Interior interior;
    const int count = span.last - span.first + 1;
    if (count > most_together)
        return fail(
            error, APLOMB_OUT_OF_MEMORY, "clip", span.first,
            "Frames %d to %d would have to be corrected together; at most %d frames can be. Correct parts "
            "of the clip, or exempt some frames between.",
            shot_.given.first_number + span.first, shot_.given.first_number + span.last, most_together);
    const bool ring = asking_.is_ring(); // then the range is the whole loop
    const bool swivels = (correction_.free & APLOMB_FREE_SWIVEL) != 0;
    const auto arrange = [&](Layout& layout) {
        range.lay_out(layout, figure_, count, ring, swivels, {options_.run, options_.run_user});
        interior.lay_out(layout, figure_, range, ring);
        arms_.lay_out(layout, count);
    };
    const ScratchBlock block(allocator_, arrange);
    if (!block) return block.refused(error);
    Layout layout = block.layout();
    arrange(layout);
    if (const auto s = asking_.bring(span, correction_, range, error)) return s;
    const Proof proof = solve(range, interior);
    if (proof.ended) return cancelled(error);
    to.steps = proof.steps, to.converged = proof.converged;
    to.cost = range.cost();
    to.stationarity = proof.stationarity, to.violation = proof.violation;
    to.complementarity = proof.complementarity;
    if (!proof.converged) {
        status_ = APLOMB_NOT_CONVERGED;
        if (!keeps_limits(range)) range.put_back();
    }
    finish(range);
    return APLOMB_OK;
}

Proof Corrector::solve(Range& range, Interior& interior) {
    Proof all;
    range.evaluate();
    arms_.keep_clear(figure_, range);
    const auto add = [&](const Proof& more) {
        const int before = all.steps;
        all = more;
        all.steps += before;
    };
    add(interior.run(range, ordinary, most_steps, quick, *this));
    bool surely = !all.converged && !all.ended;
    if (surely) {
        // What is asked for may lie so far past a limit that no way leads back.
        const bool is_near = all.stationarity <= nearly && keeps_limits(range);
        if (!is_near) range.start_within();
        add(interior.run_surely(range, ordinary, most_sure_steps, is_near ? near_barrier : 1, *this));
    }
    for (int round = 0; round < most_givings && all.converged; ++round) {
        const bool gives = let_give(range) > negligible;
        if (!arms_.keep_clear(figure_, range) && !gives) break;
        if (!surely) add(interior.go_on(range, ordinary, most_steps, *this));
        surely = surely || (!all.converged && !all.ended);
        if (surely) add(interior.run_surely(range, ordinary, most_sure_steps, near_barrier, *this));
    }
    if (!all.converged || correction_.exact == 0) return all;
    // Where the strict tolerance cannot be reached, the answer at the ordinary one stays.
    for (int k = 0; k < range.count(); ++k)
        std::copy_n(range[k].at.y, range[k].problem->size(), range[k].kept);
    const Proof ordinary_proof = all;
    add(interior.go_on(range, strict, polishing_steps, *this));
    if (all.converged || all.ended) return all;
    for (int k = 0; k < range.count(); ++k)
        std::copy_n(range[k].kept, range[k].problem->size(), range[k].at.y);
    range.evaluate();
    return ordinary_proof;
}

void Corrector::write(const Moment& f, Changed& changed) {
    std::copy_n(f.room.translations, figure_.joint_count, written_.translations);
    std::copy_n(f.room.rotations, figure_.joint_count, written_.rotations);
    write_pose(figure_, *f.model, f.at.state, written_.translations, written_.rotations, changed);
}

/// A held limb that meets a limit is moved in the written pose, and the balance point with it; the problem takes that in
/// as a constant. Returns by how much that moves the balance point in motion at most: what jumps from frame to frame
/// accelerates.
double Corrector::let_give(Range& range) {
    double most = 0;
    Changed changed;
    for (int k = 0; k < range.count(); ++k) {
        Moment& f = range[k];
        const FixedLimb* limb = f.reduction.limb;
        if (std::all_of(limb, limb + f.reduction.limb_count, [](const FixedLimb& l) { return l.bearing; }))
            continue;
        write(f, changed);
        Key now = f.key;
        repose(figure_, asking_.plan(), written_, now);
        const Vec2 change = now.balance_point - f.at.state.balance_point;
        f.problem->shift_balance_point(change);
        // Where gravity is felt aslant, the centre of mass shifts by another amount than the balance point.
        const Vec3 more = (first_moment_of(now) - f.at.state.first_moment) / now.pressing.mass;
        const Vec2 given = {dot(now.ground.fore, more), dot(now.ground.left, more)};
        const double acceleration = norm(given - f.given) * std::fabs(range.grid().second(k, f.sway).own);
        f.given = given;
        most = std::max(most, norm(change) + f.sway * acceleration);
    }
    return most;
}

void Corrector::judge(Range& range, int index) {
    const Moment& f = range[index];
    aplomb_clip_balanced& to = result_->frames[f.number];
    const double slack = range.short_of(f) * f.problem->support_unit();
    to.slack = slack;
    to.status = slack > out_of_reach ? APLOMB_OUT_OF_REACH : APLOMB_OK;
    if (to.status != APLOMB_OK && status_ == APLOMB_OK) status_ = APLOMB_OUT_OF_REACH;
}

void Corrector::scale_amounts(Range& range) {
    for (int k = 0; k < range.count(); ++k) {
        Moment& f = range[k];
        const double amount = correction_.amount * (options_.amounts ? options_.amounts[f.number] : 1);
        const Reduction& r = f.reduction;
        if (amount < 1) scale_offers(f.reduction, amount);
        for (int i = 0; i < f.problem->size(); ++i) {
            const double own = i < Reduction::first_block            ? correction_.amount_hips
                               : i < r.block_variable(r.block_count) ? correction_.amount_spine
                                                                     : 1;
            f.at.y[i] *= amount * own;
        }
    }
    range.evaluate();
}

/// How a joint's turn against a base changed, in the base's anatomical axes.
Vec3 Corrector::against(const Key& s, const Body& body, int joint, const Quat& base,
                        const Quat& base_keyed) const {
    const Quat neutral = conjugate(figure_.joints[joint].neutral);
    const Quat was = conjugate(base_keyed) * s.body.world[joint].rotation * neutral,
               is = conjugate(base) * body.world[joint].rotation * neutral;
    return log_rotation(normalized(is * conjugate(was)));
}

/// Judges the answer, scales it, and stores it until all ranges are done.
void Corrector::finish(Range& range) {
    range.evaluate();
    for (int k = 0; k < range.count(); ++k)
        range[k].problem->settle_reach(range[k].at);
    range.evaluate();
    for (int k = 0; k < range.count(); ++k)
        judge(range, k);
    scale_amounts(range);
    for (int k = 0; k < range.count(); ++k)
        range[k].problem->settle_reach(range[k].at);
    range.evaluate();
    const double unit = figure_.frame.metres_per_unit;
    const size_t joints = static_cast<size_t>(figure_.joint_count), number = shot_.number_size();
    Changed changed;
    for (int k = 0; k < range.count(); ++k) {
        Moment& f = range[k];
        write(f, changed);
        unsigned char* to = staged_ + staged_size_;
        staged_size_ += 7 * joints * number;
        const auto stage = [&](auto one) {
            using T = decltype(one);
            put_pose(figure_, &changed, written_.translations, written_.rotations,
                     static_cast<const T*>(shot_.translations(f.number)),
                     static_cast<const T*>(shot_.rotations(f.number)), reinterpret_cast<T*>(to),
                     reinterpret_cast<T*>(to) + 3 * joints);
        };
        if (shot_.given.floats)
            stage(0.0f);
        else
            stage(0.0);
        aplomb_clip_balanced& said = result_->frames[f.number];
        const Key& s = f.key;
        const Ground& g = s.ground;
        Body body;
        body.world = written_.world, body.centre = written_.centre;
        measure_body(figure_, asking_.plan(), {written_.translations, written_.rotations}, body);
        if (f.bears)
            said.margin_after =
                margin_of(f.support.area, f.at.state.balance_point + f.moved + f.swung) / unit;
        const Vec2 way = range.owned(f, f.way);
        put(said.way, length_out(figure_.frame, g.fore * way.fore + g.left * way.left));
        const double* x = f.at.state.x;
        put(said.controls.hips_shift, Vec3{x[1], x[2], x[0]} / unit);
        put(said.controls.hips_turn, Vec3{x[3], x[4], x[5]});
        put(said.controls.chest,
            against(s, body, figure_.chest, body.hips_from_neutral, s.body.hips_from_neutral));
        if (figure_.head < 0) continue;
        const Quat chest_keyed = from_neutral(figure_, s, figure_.chest);
        const Quat chest =
            body.world[figure_.chest].rotation * conjugate(figure_.joints[figure_.chest].neutral);
        put(said.controls.neck, against(s, body, figure_.head, chest, chest_keyed));
    }
}

// ---- All of them ---------------------------------------------------------------------------------------------

aplomb_status Corrector::solve_ranges(aplomb_error* error) {
    int all = 0;
    for (int r = 0; r < result_->range_count; ++r)
        all += spans_[r].last - spans_[r].first + 1;
    done_ = read_part + asked_part;
    for (int r = 0; r < result_->range_count; ++r) {
        const int frames = spans_[r].last - spans_[r].first + 1;
        part_ = (1 - read_part - asked_part) * frames / all, within_ = 0;
        if (const auto s = correct(spans_[r], result_->ranges[r], error)) return s;
        done_ += part_;
    }
    return APLOMB_OK;
}

void Corrector::put_out(void* translations, void* rotations) const {
    const size_t joints = static_cast<size_t>(figure_.joint_count), number = shot_.number_size();
    const unsigned char* staged = staged_;
    for (int t = 0; t < shot_.count; ++t) {
        const bool corrected = result_->frames[t].range >= 0;
        const void *from = corrected ? staged : shot_.translations(t),
                   *turns = corrected ? staged + 3 * joints * number : shot_.rotations(t);
        shot_.put_out(t, from, turns, translations, rotations);
        if (corrected) staged += 7 * joints * number;
    }
}

aplomb_status Corrector::run(void* translations, void* rotations, aplomb_clip_balance_result** result,
                             aplomb_error* error) {
    const ScratchBlock block(allocator_, [&](Layout& layout) { lay_out(layout); });
    if (!block) return block.refused(error);
    Layout layout = block.layout();
    lay_out(layout);
    shot_.fill_times();
    if (const auto s = read(error)) return s;
    if (const auto s = make_result(error)) return s;
    size_t corrected = 0;
    for (int r = 0; r < result_->range_count; ++r)
        corrected += static_cast<size_t>(spans_[r].last - spans_[r].first + 1);
    const auto stage = [&](Layout& to) {
        staged_ = to.take<unsigned char>(corrected * 7 * static_cast<size_t>(figure_.joint_count) *
                                         shot_.number_size());
    };
    const ScratchBlock staged(allocator_, stage);
    aplomb_status status = staged ? APLOMB_OK : staged.refused(error);
    if (status == APLOMB_OK) {
        Layout to = staged.layout();
        stage(to);
        status = solve_ranges(error);
    }
    done_ = 1, part_ = 0;
    if (status == APLOMB_OK && !goes_on()) status = cancelled(error);
    if (status < 0) {
        aplomb_clip_balance_result_destroy(result_);
        return status;
    }
    put_out(translations, rotations);
    if (result)
        *result = result_;
    else
        aplomb_clip_balance_result_destroy(result_);
    return status_;
}

aplomb_status check_numbers(const aplomb_clip_balance_options& o, int frames, aplomb_error* error) {
    const struct {
        const char* name;
        double value;
    } parts[] = {{"flow", o.flow}, {"key_acceleration", o.key_acceleration}};
    for (const auto& part : parts)
        if (!(part.value >= 0 && part.value <= 1))
            return fail(error, APLOMB_BAD_ARGUMENT, part.name, -1, "options.%s is %g; it must be 0 to 1.",
                        part.name, part.value);
    for (int t = 0; o.amounts && t < frames; ++t)
        if (!(o.amounts[t] >= 0 && o.amounts[t] <= 2))
            return fail(error, APLOMB_BAD_ARGUMENT, "amounts", t,
                        "options.amounts[%d] is %g; it must be 0 to 2.", t, o.amounts[t]);
    return APLOMB_OK;
}

aplomb_status check_exempt(const aplomb_clip_balance_options& o, int frames, aplomb_error* error) {
    if (o.exempt_count < 0 || (o.exempt_count > 0 && !o.exempt))
        return fail(error, APLOMB_BAD_ARGUMENT, "exempt_count", -1, "options.exempt_count is %d%s.",
                    o.exempt_count, o.exempt_count < 0 ? "" : ", but there are none");
    for (int r = 0; r < o.exempt_count; ++r) {
        const aplomb_exempt_range& range = o.exempt[r];
        const Element element{"options", "exempt", r};
        if (const auto s = check_frames(element, range.first, range.last, frames, error)) return s;
        if (!(range.part >= 0 && range.part <= 1))
            return fail(error, APLOMB_BAD_ARGUMENT, "exempt", r,
                        "options.exempt[%d].part is %g; it must be 0 to 1.", r, range.part);
        if (!(range.ease >= 0 && range.ease <= 1e6))
            return fail(error, APLOMB_BAD_ARGUMENT, "exempt", r,
                        "options.exempt[%d].ease is %g; it must be 0 to 1e6 seconds.", r, range.ease);
        if (!range.reason || range.reason[0] == '\0')
            return fail(error, APLOMB_BAD_ARGUMENT, "exempt", r,
                        "options.exempt[%d] (frames %d to %d) has no reason; say in a line why.", r,
                        range.first, range.last);
        const auto alike = [](const aplomb_exempt_range&) { return true; };
        if (const auto s = check_apart(element, o.exempt, "", alike, error)) return s;
    }
    return APLOMB_OK;
}

aplomb_status check_tensions(const aplomb_clip_balance_options& o, const aplomb_clip& clip,
                             aplomb_error* error) {
    if (o.tension_count < 0 || (o.tension_count > 0 && !o.tensions))
        return fail(error, APLOMB_BAD_ARGUMENT, "tension_count", -1, "options.tension_count is %d%s.",
                    o.tension_count, o.tension_count < 0 ? "" : ", but there are none");
    for (int k = 0; k < o.tension_count; ++k) {
        const aplomb_clip_tension& tension = o.tensions[k];
        if (tension.carry < 0 || tension.carry >= clip.carry_count)
            return fail(error, APLOMB_BAD_ARGUMENT, "tensions", k,
                        "options.tensions[%d].carry is %d; the clip has %d.", k, tension.carry,
                        clip.carry_count);
        const aplomb_carry& carry = clip.carries[tension.carry];
        if (carry.load.hanging == 0)
            return fail(error, APLOMB_BAD_ARGUMENT, "tensions", k,
                        "options.tensions[%d]: clip.carries[%d] does not hang, so it cannot swing.", k,
                        tension.carry);
        for (int t = carry.first; t <= carry.last; ++t)
            for (int a = 0; a < 3; ++a)
                if (!tension.forces || !(std::fabs(tension.forces[3 * t + a]) <= 1e9))
                    return fail(error, APLOMB_BAD_ARGUMENT, "tensions", k,
                                "options.tensions[%d].forces, frame %d: not a force of at most 1e9 N.", k,
                                clip.first_number + t);
    }
    return APLOMB_OK;
}

aplomb_clip_balance_options usual_options() {
    aplomb_clip_balance_options options{};
    options.flow = options.key_acceleration = 1;
    return options;
}

} // namespace
} // namespace aplomb

using namespace aplomb;

void aplomb_clip_balance_options_init(aplomb_clip_balance_options* options, size_t size) {
    init_struct(options, size, usual_options());
}

aplomb_status aplomb_clip_balance(const aplomb_figure* figure, const aplomb_clip* clip,
                                  const aplomb_clip_balance_options* options,
                                  const aplomb_allocator* allocator, void* translations, void* rotations,
                                  aplomb_clip_balance_result** result, aplomb_error* error) {
    if (result) *result = nullptr;
    if (!translations) return fail(error, APLOMB_BAD_ARGUMENT, "translations", -1, "translations is NULL.");
    if (!rotations) return fail(error, APLOMB_BAD_ARGUMENT, "rotations", -1, "rotations is NULL.");
    aplomb_clip given{};
    if (const auto s = take_clip(figure, clip, given, error)) return s;
    if (const auto s = check_allocator(allocator, error)) return s;
    aplomb_clip_balance_options how = usual_options();
    if (options) {
        if (const auto s = check_struct(options, "options", error)) return s;
        how = read_struct(options, how);
    }
    aplomb_options correction = default_options();
    if (how.correction) {
        if (const auto s = check_struct(how.correction, "correction", error)) return s;
        correction = read_struct(how.correction, correction);
    }
    if (const auto s = check_options(correction, error)) return s;
    if (const auto s = check_numbers(how, given.frame_count, error)) return s;
    if (const auto s = check_exempt(how, given.frame_count, error)) return s;
    if (const auto s = check_tensions(how, given, error)) return s;
    if (const auto s = check_flights(how, given, error)) return s;
    if (const auto s = check_blocking(how, error)) return s;
    correction.struct_size = sizeof correction;
    if (how.blocking != 0)
        return balance_keys(*figure, given, how, correction, allocator_or_default(allocator), translations,
                            rotations, result, error);
    how.correction = &correction;
    if (how.held != 0)
        return balance_held(*figure, given, how, allocator_or_default(allocator), translations, rotations,
                            result, error);
    if (how.flights != 0) {
        return balance_with_flights(*figure, given, how, allocator_or_default(allocator), translations,
                                    rotations, result, error);
    }
    return Corrector(*figure, given, how, correction, allocator_or_default(allocator))
        .run(translations, rotations, result, error);
}

void aplomb_clip_balance_result_destroy(aplomb_clip_balance_result* result) {
    destroy_owned(result);
}

const aplomb_clip_balanced* aplomb_clip_balanced_frames(const aplomb_clip_balance_result* result,
                                                        int32_t* count) {
    return listed(result, &aplomb_clip_balance_result::frames, &aplomb_clip_balance_result::frame_count,
                  count);
}
const aplomb_clip_range* aplomb_clip_ranges(const aplomb_clip_balance_result* result, int32_t* count) {
    return listed(result, &aplomb_clip_balance_result::ranges, &aplomb_clip_balance_result::range_count,
                  count);
}
const aplomb_arc* aplomb_clip_arcs(const aplomb_clip_balance_result* result, int32_t* count) {
    return listed(result, &aplomb_clip_balance_result::arcs, &aplomb_clip_balance_result::arc_count, count);
}
