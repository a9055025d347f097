// SPDX-License-Identifier: MIT
#include "clip/correct/held.h"

#include <algorithm>
#include <cstring>

#include "base/scratch_block.h"
#include "clip/check.h"
#include "clip/correct/arc_report.h"
#include "clip/correct/result.h"
#include "clip/handles.h"
#include "figure/frame.h"

namespace aplomb {
namespace {

class HeldBalancer {
public:
    HeldBalancer(const aplomb_figure& figure, const aplomb_clip& clip,
                 const aplomb_clip_balance_options& options, const aplomb_allocator& allocator)
        : figure_(figure), options_(options), allocator_(allocator) {
        shot_.begin(figure, clip);
    }
    aplomb_status run(void* translations, void* rotations, aplomb_clip_balance_result** result,
                      aplomb_error* error);

private:
    void lay_out(Layout& layout);
    aplomb_status check_poses(aplomb_error* error);
    void find_moments();
    bool holds(int frame) const;
    /// The moments of a range.
    template<class T>
    T reduced(T range) const {
        range.first = moment_[range.first], range.last = moment_[range.last];
        return range;
    }
    /// Without one that begins before the range does.
    template<class T>
    T begun_in(const T& given) const {
        T range = reduced(given);
        range.first += first_[range.first] < given.first;
        return range;
    }
    aplomb_status reduce_flights(aplomb_error* error);
    aplomb_status refuse_flight(int k, const char* why, aplomb_error* error) const;
    aplomb_clip reduced_clip();
    aplomb_clip_balance_options reduced_options();
    aplomb_status make_result(const aplomb_clip_balance_result& of, aplomb_clip_balance_result** result,
                              aplomb_error* error) const;
    /// After the last frame of a moment.
    int end_of(int moment) const { return moment + 1 < count_ ? first_[moment + 1] : shot_.count; }

    const aplomb_figure& figure_;
    const aplomb_clip_balance_options& options_;
    const aplomb_allocator& allocator_;
    Shot shot_;
    int count_ = 0;                            // of moments
    int *moment_ = nullptr, *first_ = nullptr; // of each frame; the first frame of each
    uint8_t* begins_ = nullptr;                // frames with which a moment begins, whatever their pose
    double* pose_ = nullptr;
    double *times_ = nullptr, *amounts_ = nullptr, *forces_ = nullptr;
    aplomb_stance_range* stances_ = nullptr;
    aplomb_carry* carries_ = nullptr;
    aplomb_exempt_range* exempt_ = nullptr;
    aplomb_flight_range* flights_ = nullptr;
    aplomb_clip_tension* tensions_ = nullptr;
    unsigned char *translations_ = nullptr, *rotations_ = nullptr;
};

void HeldBalancer::lay_out(Layout& layout) {
    const size_t frames = static_cast<size_t>(shot_.count),
                 pose = static_cast<size_t>(figure_.joint_count) * shot_.number_size(),
                 tensions = static_cast<size_t>(options_.tension_count);
    shot_.times = layout.take<double>(frames);
    moment_ = layout.take<int>(frames), first_ = layout.take<int>(frames);
    begins_ = layout.take<uint8_t>(frames + 1);
    pose_ = layout.take<double>(7 * static_cast<size_t>(figure_.joint_count));
    times_ = layout.take<double>(frames), amounts_ = layout.take<double>(frames);
    forces_ = layout.take<double>(3 * frames * tensions);
    stances_ = layout.take<aplomb_stance_range>(static_cast<size_t>(shot_.given.stance_count));
    carries_ = layout.take<aplomb_carry>(static_cast<size_t>(shot_.given.carry_count));
    exempt_ = layout.take<aplomb_exempt_range>(static_cast<size_t>(options_.exempt_count));
    flights_ = layout.take<aplomb_flight_range>(static_cast<size_t>(options_.flight_range_count));
    tensions_ = layout.take<aplomb_clip_tension>(tensions);
    translations_ = layout.take<unsigned char>(3 * frames * pose);
    rotations_ = layout.take<unsigned char>(4 * frames * pose);
}

/// Of all frames, by their own numbers: later ones are those of moments.
aplomb_status HeldBalancer::check_poses(aplomb_error* error) {
    const int joints = figure_.joint_count;
    const auto type = shot_.given.floats ? APLOMB_FLOAT : APLOMB_DOUBLE;
    const size_t number = shot_.number_size();
    double* turns = pose_ + 3 * joints;
    for (int t = 0; t < shot_.count; ++t) {
        aplomb_status s = aplomb_gather(shot_.translations(t), type, 3 * number, 3, joints, pose_, error);
        if (s == APLOMB_OK) s = aplomb_gather(shot_.rotations(t), type, 4 * number, 4, joints, turns, error);
        if (s == APLOMB_OK) s = check_pose(figure_, pose_, turns, error);
        if (s) return at_frame(s, shot_.given.first_number + t, error);
    }
    return APLOMB_OK;
}

/// Whether a frame is, bit for bit, the one before, with the same amount.
bool HeldBalancer::holds(int t) const {
    const size_t pose = static_cast<size_t>(figure_.joint_count) * shot_.number_size();
    return t > 0 && begins_[t] == 0 &&
           std::memcmp(shot_.translations(t), shot_.translations(t - 1), 3 * pose) == 0 &&
           std::memcmp(shot_.rotations(t), shot_.rotations(t - 1), 4 * pose) == 0 &&
           (!options_.amounts || options_.amounts[t] == options_.amounts[t - 1]);
}

/// Where a load, or what is exempt, begins or ends, there a moment does. A foot cannot step in a hold: there its first frame
/// says what stands.
void HeldBalancer::find_moments() {
    const auto bound = [&](const auto* ranges, int count) {
        for (int r = 0; r < count; ++r)
            begins_[ranges[r].first] = begins_[ranges[r].last + 1] = 1;
    };
    bound(shot_.given.carries, shot_.given.carry_count);
    bound(options_.exempt, options_.exempt_count);
    for (int t = 0; t < shot_.count; ++t) {
        if (!holds(t)) first_[count_++] = t;
        moment_[t] = count_ - 1;
    }
}

aplomb_clip HeldBalancer::reduced_clip() {
    aplomb_clip clip = shot_.given;
    clip.struct_size = sizeof clip;
    const size_t pose = static_cast<size_t>(figure_.joint_count) * shot_.number_size();
    for (int m = 0; m < count_; ++m) {
        const size_t row = static_cast<size_t>(m);
        times_[m] = shot_.times[first_[m]];
        std::memcpy(translations_ + 3 * pose * row, shot_.translations(first_[m]), 3 * pose);
        std::memcpy(rotations_ + 4 * pose * row, shot_.rotations(first_[m]), 4 * pose);
    }
    clip.frame_count = count_, clip.times = times_;
    clip.translations = translations_, clip.rotations = rotations_;
    clip.translations_stride = clip.rotations_stride = 0;
    for (int r = 0; r < clip.carry_count; ++r)
        carries_[r] = reduced(clip.carries[r]);
    if (clip.stances) {
        int stances = 0;
        for (int r = 0; r < clip.stance_count; ++r) {
            const aplomb_stance_range range = begun_in(clip.stances[r]);
            if (range.first <= range.last) stances_[stances++] = range;
        }
        clip.stances = stances_, clip.stance_count = stances;
    }
    clip.carries = carries_;
    return clip;
}

aplomb_clip_balance_options HeldBalancer::reduced_options() {
    aplomb_clip_balance_options options = options_;
    options.struct_size = sizeof options;
    options.held = 0;
    for (int m = 0; options.amounts && m < count_; ++m)
        amounts_[m] = options.amounts[first_[m]];
    if (options.amounts) options.amounts = amounts_;
    for (int r = 0; r < options.exempt_count; ++r)
        exempt_[r] = reduced(options.exempt[r]);
    options.exempt = exempt_;
    options.flight_ranges = flights_;
    for (int k = 0; k < options.tension_count; ++k) {
        double* forces = forces_ + 3 * static_cast<size_t>(count_) * static_cast<size_t>(k);
        for (int m = 0; m < count_; ++m)
            std::copy_n(options.tensions[k].forces + 3 * first_[m], 3, forces + 3 * m);
        tensions_[k] = options.tensions[k];
        tensions_[k].forces = forces;
    }
    options.tensions = tensions_;
    return options;
}

/// A body leaves the ground and lands with the first frame of a hold, as it stands.
aplomb_status HeldBalancer::reduce_flights(aplomb_error* error) {
    for (int k = 0; k < options_.flight_range_count; ++k) {
        flights_[k] = begun_in(options_.flight_ranges[k]);
        const bool over_seam = options_.flight_ranges[k].first > options_.flight_ranges[k].last;
        if (over_seam) flights_[k].first %= count_;
        if ((flights_[k].first > flights_[k].last && !over_seam) ||
            (options_.loop == 0 && (flights_[k].first == 0 || flights_[k].last + 1 == count_)))
            return refuse_flight(k, "a flight needs one of its own, one before it and one after it", error);
    }
    return APLOMB_OK;
}

aplomb_status HeldBalancer::refuse_flight(int k, const char* why, aplomb_error* error) const {
    const aplomb_flight_range& range = options_.flight_ranges[k];
    const int number = shot_.given.first_number;
    return fail(error, APLOMB_BAD_ARGUMENT, "flight_ranges", k,
                "options.flight_ranges[%d] (frames %d to %d): where poses are held, %s.", k,
                number + range.first, number + range.last, why);
}

/// As of all frames.
aplomb_status HeldBalancer::make_result(const aplomb_clip_balance_result& of,
                                        aplomb_clip_balance_result** result, aplomb_error* error) const {
    aplomb_clip_balance_result* made = nullptr;
    if (const auto s = make_correction(allocator_, shot_.count, of.range_count, of.arc_count, made, error))
        return s;
    for (int t = 0; t < shot_.count; ++t) {
        made->frames[t] = of.frames[moment_[t]];
        made->frames[t].time = shot_.times[t];
    }
    for (int r = 0; r < of.range_count; ++r) {
        aplomb_clip_range& to = made->ranges[r] = of.ranges[r];
        to.first = first_[to.first], to.last = end_of(to.last) - 1;
    }
    for (int k = 0; k < of.arc_count; ++k) {
        aplomb_arc& to = made->arcs[k] = of.arcs[k];
        // From one to the next, over the seam too.
        const auto frames = [&](int from, int to_moment) {
            const int gone = first_[to_moment] - first_[from];
            return gone < 0 ? gone + shot_.count : gone;
        };
        const int before = (to.first + count_ - 1) % count_, after = (to.last + 1) % count_;
        const ArcFrames counted = {frames(before, to.first), frames(before, after)};
        to.first = first_[to.first], to.last = end_of(to.last) - 1;
        write_arc_text(shot_, shot_.given.first_number, counted, to);
    }
    *result = made;
    return APLOMB_OK;
}

aplomb_status HeldBalancer::run(void* translations, void* rotations, aplomb_clip_balance_result** result,
                                aplomb_error* error) {
    const ScratchBlock block(allocator_, [&](Layout& layout) { lay_out(layout); });
    if (!block) return block.refused(error);
    Layout layout = block.layout();
    lay_out(layout);
    shot_.fill_times();
    if (const auto s = check_poses(error)) return s;
    find_moments();
    if (const auto s = reduce_flights(error)) return s;
    const aplomb_clip clip = reduced_clip();
    const aplomb_clip_balance_options options = reduced_options();
    DestroyResult balanced;
    const aplomb_status status = aplomb_clip_balance(&figure_, &clip, &options, &allocator_, translations_,
                                                     rotations_, &balanced.result, error);
    // It names moments.
    if (status < 0 && error && std::strcmp(error->field, "flight_ranges") == 0)
        return refuse_flight(error->index, "something stands in its poses; in a flight nothing does", error);
    if (status < 0) return status;
    if (result)
        if (const auto s = make_result(*balanced.result, result, error)) return s;
    const size_t pose = static_cast<size_t>(figure_.joint_count) * shot_.number_size();
    for (int t = 0; t < shot_.count; ++t) {
        const size_t from = static_cast<size_t>(moment_[t]);
        shot_.put_out(t, translations_ + 3 * pose * from, rotations_ + 4 * pose * from, translations,
                      rotations);
    }
    return status;
}

} // namespace

aplomb_status balance_held(const aplomb_figure& figure, const aplomb_clip& clip,
                           const aplomb_clip_balance_options& options, const aplomb_allocator& allocator,
                           void* translations, void* rotations, aplomb_clip_balance_result** result,
                           aplomb_error* error) {
    return HeldBalancer(figure, clip, options, allocator).run(translations, rotations, result, error);
}

} // namespace aplomb
