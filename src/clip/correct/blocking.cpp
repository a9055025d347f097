// SPDX-License-Identifier: MIT
#include "clip/correct/blocking.h"

#include <algorithm>
#include <cstring>
#include <limits>

#include "base/scratch_block.h"
#include "clip/check.h"
#include "clip/correct/result.h"
#include "clip/handles.h"

namespace aplomb {
namespace {

class KeyBalancer {
public:
    KeyBalancer(const aplomb_figure& figure, const aplomb_clip& clip,
                const aplomb_clip_balance_options& options, const aplomb_options& correction,
                const aplomb_allocator& allocator)
        : figure_(figure), options_(options), correction_(correction), allocator_(allocator) {
        shot_.begin(figure, clip);
    }
    aplomb_status run(void* translations, void* rotations, aplomb_clip_balance_result** result,
                      aplomb_error* error);

private:
    void lay_out(Layout& layout);
    void find_exempt(int frame, aplomb_clip_balanced& to) const;
    int contacts_of(int frame, aplomb_contact* contacts) const;
    aplomb_status correct(int frame, aplomb_error* error);
    aplomb_status make_result(aplomb_clip_balance_result** result, aplomb_error* error) const;

    const aplomb_figure& figure_;
    const aplomb_clip_balance_options& options_;
    const aplomb_options& correction_;
    const aplomb_allocator& allocator_;
    Shot shot_;
    DestroySolver solver_;
    aplomb_status status_ = APLOMB_OK;
    int range_count_ = 0;
    aplomb_clip_balanced* frames_ = nullptr;
    aplomb_clip_range* ranges_ = nullptr;
    unsigned char *translations_ = nullptr, *rotations_ = nullptr;
};

void KeyBalancer::lay_out(Layout& layout) {
    const size_t frames = static_cast<size_t>(shot_.count),
                 pose = static_cast<size_t>(figure_.joint_count) * shot_.number_size();
    shot_.times = layout.take<double>(frames);
    frames_ = layout.take<aplomb_clip_balanced>(frames);
    ranges_ = layout.take<aplomb_clip_range>(frames);
    translations_ = layout.take<unsigned char>(3 * frames * pose);
    rotations_ = layout.take<unsigned char>(4 * frames * pose);
}

void KeyBalancer::find_exempt(int t, aplomb_clip_balanced& to) const {
    to.exempt = -1;
    for (int r = 0; r < options_.exempt_count; ++r) {
        const aplomb_exempt_range& range = options_.exempt[r];
        if (t >= range.first && t <= range.last) to.exempt = r, to.exempt_part = range.part;
    }
}

/// Where stances are given, limbs that do not bear keep their places.
int KeyBalancer::contacts_of(int t, aplomb_contact* contacts) const {
    int count = 0;
    for (int limb = 0; limb < figure_.limb_count; ++limb) {
        contacts[count] = aplomb_contact_make(limb, APLOMB_HELD);
        for (int r = 0; r < shot_.given.stance_count; ++r) {
            const aplomb_stance_range& range = shot_.given.stances[r];
            if (range.limb != limb || t < range.first || t > range.last) continue;
            contacts[count].hold = APLOMB_BEARING, contacts[count].footing = range.footing;
        }
        count += contacts[count].hold == APLOMB_BEARING || figure_.limbs[limb].kind != APLOMB_ARM;
    }
    return count;
}

aplomb_status KeyBalancer::correct(int t, aplomb_error* error) {
    aplomb_clip_balanced& to = frames_[t];
    constexpr double nan = std::numeric_limits<double>::quiet_NaN();
    to.time = shot_.times[t], to.range = -1;
    to.margin_before = to.margin_after = to.margin_asked = nan;
    find_exempt(t, to);
    const size_t pose = static_cast<size_t>(figure_.joint_count) * shot_.number_size(),
                 row = static_cast<size_t>(t);
    unsigned char *places = translations_ + 3 * pose * row, *turns = rotations_ + 4 * pose * row;
    std::memcpy(places, shot_.translations(t), 3 * pose);
    std::memcpy(turns, shot_.rotations(t), 4 * pose);

    GivenFrame given;
    give_frame(shot_, t, given);
    aplomb_contact contacts[APLOMB_MAX_LIMBS];
    if (shot_.given.stances) {
        const int count = contacts_of(t, contacts);
        if (std::none_of(contacts, contacts + count, [](const auto& c) { return c.hold == APLOMB_BEARING; }))
            return APLOMB_OK; // in the air
        given.situation.contacts = contacts, given.situation.contact_count = count;
    }
    aplomb_options how = correction_;
    how.amount *= (options_.amounts ? options_.amounts[t] : 1) * (1 - to.exempt_part);
    how.amount = std::min(how.amount, 2.0);
    aplomb_result is;
    aplomb_result_init(&is, sizeof is);
    const aplomb_status status =
        aplomb_balance(solver_.solver, &given.situation, &how, places, turns, &is, error);
    if (status < 0) return at_frame(status, shot_.given.first_number + t, error);
    if (to.exempt_part >= 1) { // it keeps its key and tells its number
        std::memcpy(places, shot_.translations(t), 3 * pose);
        std::memcpy(turns, shot_.rotations(t), 4 * pose);
        to.margin_before = to.margin_after = is.margin_before, to.margin_asked = is.margin_asked;
        return APLOMB_OK;
    }
    to.margin_before = is.margin_before, to.margin_after = is.margin_after, to.margin_asked = is.margin_asked;
    to.status = status, to.slack = is.slack, to.controls = is.controls;
    std::copy_n(is.moved, 3, to.way);
    if (is.changed == 0) return APLOMB_OK;
    to.fault = 1, to.range = range_count_;
    ranges_[range_count_++] = {t,
                               t,
                               is.iterations,
                               status != APLOMB_NOT_CONVERGED,
                               is.objective,
                               is.stationarity,
                               is.violation,
                               is.complementarity};
    const bool worse = status == APLOMB_NOT_CONVERGED || status_ == APLOMB_OK;
    if (status != APLOMB_OK && worse) status_ = status;
    return APLOMB_OK;
}

aplomb_status KeyBalancer::make_result(aplomb_clip_balance_result** result, aplomb_error* error) const {
    aplomb_clip_balance_result* made = nullptr;
    if (const auto s = make_correction(allocator_, shot_.count, range_count_, 0, made, error)) return s;
    std::copy_n(frames_, shot_.count, made->frames);
    std::copy_n(ranges_, range_count_, made->ranges);
    *result = made;
    return APLOMB_OK;
}

aplomb_status KeyBalancer::run(void* translations, void* rotations, aplomb_clip_balance_result** result,
                               aplomb_error* error) {
    const ScratchBlock block(allocator_, [&](Layout& layout) { lay_out(layout); });
    if (!block) return block.refused(error);
    Layout layout = block.layout();
    lay_out(layout);
    shot_.fill_times();
    if (const auto s = aplomb_solver_create(&figure_, &allocator_, &solver_.solver, error)) return s;
    for (int t = 0; t <= shot_.count; ++t) {
        const double done = static_cast<double>(t) / shot_.count;
        if (options_.progress && options_.progress(done, options_.progress_user) != 0)
            return fail(error, APLOMB_CANCELLED, "progress", -1,
                        "The clip's balancing was ended by the caller.");
        if (t == shot_.count) break;
        if (const auto s = correct(t, error)) return s;
    }
    if (result)
        if (const auto s = make_result(result, error)) return s;
    const size_t pose = static_cast<size_t>(figure_.joint_count) * shot_.number_size();
    for (int t = 0; t < shot_.count; ++t) {
        const size_t row = static_cast<size_t>(t);
        shot_.put_out(t, translations_ + 3 * pose * row, rotations_ + 4 * pose * row, translations,
                      rotations);
    }
    return status_;
}

} // namespace

aplomb_status check_blocking(const aplomb_clip_balance_options& o, aplomb_error* error) {
    if (o.blocking == 0) return APLOMB_OK;
    const struct {
        const char* name;
        bool given;
    } moving[] = {{"loop", o.loop != 0}, {"flights", o.flights != 0}, {"tension_count", o.tension_count > 0}};
    for (const auto& option : moving)
        if (option.given)
            return fail(error, APLOMB_BAD_ARGUMENT, option.name, -1,
                        "options.%s is for a body that moves and does not go with options.blocking.",
                        option.name);
    return APLOMB_OK;
}

aplomb_status balance_keys(const aplomb_figure& figure, const aplomb_clip& clip,
                           const aplomb_clip_balance_options& options, const aplomb_options& correction,
                           const aplomb_allocator& allocator, void* translations, void* rotations,
                           aplomb_clip_balance_result** result, aplomb_error* error) {
    return KeyBalancer(figure, clip, options, correction, allocator)
        .run(translations, rotations, result, error);
}

} // namespace aplomb
