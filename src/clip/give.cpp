// SPDX-License-Identifier: MIT
// aplomb_clip_give: arms, hips and knees give where weight arrives or leaves. The clip is read for what stands and what
// flies; then time runs once through the frames, in short steps; then each pose is made to give.
#include <algorithm>
#include <cmath>
#include <cstring>

#include "aplomb/clip.h"
#include "base/scratch_block.h"
#include "base/structs.h"
#include "clip/check.h"
#include "clip/handles.h"
#include "clip/landing.h"
#include "clip/smooth.h"
#include "figure/frame.h"

namespace aplomb {
namespace {

constexpr double short_step = 1.0 / 480; // seconds: the force of the arms is taken as constant over it
constexpr double before_flight = 0.1;    // seconds before the feet leave, in which the give fades out
constexpr double settled = 1e-6;         // metres; less counts as 0

/// One give in progress.
struct Yield {
    aplomb_give give{};
    double place = 0, velocity = 0;

    void move(double rest, double seconds) {
        aplomb_give_step(&give, rest, seconds, &place, &velocity, nullptr);
        if (rest == 0 && std::fabs(place) < settled && std::fabs(velocity) < settled * give.rate) stop();
    }
    void stop() { place = velocity = 0; }
};

class Giver {
public:
    Giver(const aplomb_figure& figure, const aplomb_clip& clip, const aplomb_clip_give_options& options,
          const aplomb_allocator& allocator)
        : figure_(figure), options_(options), allocator_(allocator) {
        shot_.begin(figure, clip);
        gravity_ = norm(shot_.gravity);
    }
    aplomb_status run(void* translations, void* rotations, aplomb_clip_given* given, aplomb_error* error);

private:
    void lay_out(Layout& layout);
    aplomb_status read(aplomb_error* error);
    aplomb_status find_heights(aplomb_error* error);
    void make_situation(int frame, GivenFrame& to, aplomb_contact* contacts) const;
    aplomb_status find_rests(aplomb_error* error);
    void go_through();
    void move(int frame);
    void arrive(int frame);
    void land(const aplomb_flight& flight);
    void fade_out();
    aplomb_status write(aplomb_error* error);
    bool is_thrown(int carry) const { return options_.falls && options_.falls[carry] > 0; }
    bool in_arms(const aplomb_carry& carry) const;
    double mass_at(int frame, bool in_arms) const;
    bool stands(int frame) const { return stands_[frame] != 0; }

    const aplomb_figure& figure_;
    const aplomb_clip_give_options& options_;
    const aplomb_allocator& allocator_;
    Shot shot_;
    double gravity_ = 0;
    DestroyReading read_;
    DestroySolver solver_;
    aplomb_carry* carries_ = nullptr; // with the weight of thrown ones coming at once
    uint8_t *stands_ = nullptr, *footing_ = nullptr;
    double *hips_height_ = nullptr, *rest_ = nullptr, *numbers_ = nullptr;
    aplomb_clip_given* gives_ = nullptr; // metres
    unsigned char *translations_ = nullptr, *rotations_ = nullptr;
    Yield legs_, arms_;
};

void Giver::lay_out(Layout& layout) {
    const auto frames = static_cast<size_t>(shot_.count), joints = static_cast<size_t>(figure_.joint_count),
               carries = static_cast<size_t>(shot_.given.carry_count);
    shot_.times = layout.take<double>(frames);
    carries_ = layout.take<aplomb_carry>(carries);
    stands_ = layout.take<uint8_t>(frames);
    footing_ = layout.take<uint8_t>(frames * APLOMB_MAX_LIMBS);
    hips_height_ = layout.take<double>(frames), rest_ = layout.take<double>(frames);
    numbers_ = layout.take<double>(23 * joints);
    gives_ = layout.take<aplomb_clip_given>(frames);
    const size_t pose = joints * shot_.number_size();
    translations_ = layout.take<unsigned char>(3 * frames * pose);
    rotations_ = layout.take<unsigned char>(4 * frames * pose);
}

aplomb_status Giver::read(aplomb_error* error) {
    if (const auto s = aplomb_clip_read(&figure_, &shot_.given, nullptr, &allocator_, &read_.reading, error))
        return s;
    int32_t count = 0;
    const aplomb_stance_range* ranges = aplomb_clip_stances(read_.reading, &count);
    for (int32_t r = 0; r < count; ++r)
        for (int t = ranges[r].first; t <= ranges[r].last; ++t) {
            footing_[t * APLOMB_MAX_LIMBS + ranges[r].limb] = static_cast<uint8_t>(1 + ranges[r].footing);
            stands_[t] = 1;
        }
    return APLOMB_OK;
}

aplomb_status Giver::find_heights(aplomb_error* error) {
    const auto type = shot_.given.floats ? APLOMB_FLOAT : APLOMB_DOUBLE;
    const size_t number = shot_.number_size();
    const int joints = figure_.joint_count;
    double *places = numbers_, *turns = places + 3 * joints, *world = turns + 4 * joints;
    for (int t = 0; t < shot_.count; ++t) {
        aplomb_status s = aplomb_gather(shot_.translations(t), type, 3 * number, 3, joints, places, error);
        if (s == APLOMB_OK) s = aplomb_gather(shot_.rotations(t), type, 4 * number, 4, joints, turns, error);
        if (s == APLOMB_OK)
            s = aplomb_pose_to_matrices(&figure_, places, turns, world, APLOMB_DOUBLE, 16 * sizeof(double),
                                        APLOMB_WORLD, error);
        if (s) return at_frame(s, shot_.given.first_number + t, error);
        const double* hips = world + 16 * figure_.hips + 12;
        hips_height_[t] = dot(shot_.up, Vec3{hips[0], hips[1], hips[2]}) * shot_.unit;
    }
    return APLOMB_OK;
}

/// Legs that do not bear keep their places.
void Giver::make_situation(int t, GivenFrame& to, aplomb_contact* contacts) const {
    give_frame(shot_, t, to);
    int count = 0;
    for (int limb = 0; limb < figure_.limb_count; ++limb) {
        const int footing = footing_[t * APLOMB_MAX_LIMBS + limb];
        if (footing == 0 && figure_.limbs[limb].kind == APLOMB_ARM) continue;
        contacts[count] = aplomb_contact_make(limb, footing > 0 ? APLOMB_BEARING : APLOMB_HELD);
        contacts[count++].footing = footing > 0 ? footing - 1 : APLOMB_FLAT;
    }
    to.situation.contacts = contacts, to.situation.contact_count = count;
}

aplomb_status Giver::find_rests(aplomb_error* error) {
    aplomb_contact contacts[APLOMB_MAX_LIMBS];
    GivenFrame frame;
    for (int t = 0; t < shot_.count; ++t) {
        if (!stands(t) || options_.held) continue;
        make_situation(t, frame, contacts);
        if (frame.situation.load_count == 0) continue;
        if (const auto s = aplomb_give_rest(solver_.solver, &frame.situation, &rest_[t], error))
            return at_frame(s, shot_.given.first_number + t, error);
        rest_[t] *= shot_.unit;
    }
    return APLOMB_OK;
}

/// Whether the hands of two arms hold the load.
bool Giver::in_arms(const aplomb_carry& carry) const {
    int hands = 0;
    for (int i = 0; i < figure_.limb_count; ++i)
        for (const int32_t holder : carry.load.holder)
            hands += figure_.limbs[i].kind == APLOMB_ARM && figure_.limbs[i].end == holder;
    return hands == 2;
}

double Giver::mass_at(int frame, bool only_in_arms) const {
    double mass = 0;
    for (int r = 0; r < shot_.given.carry_count; ++r)
        if (!only_in_arms || in_arms(carries_[r]))
            mass += carries_[r].load.mass * carried_part(shot_, carries_[r], frame);
    return mass;
}

/// A load that falls into the arms brings its speed, shared with what they hold already; one that falls on any other part
/// of the body gives its speed to the body at once. In the first frame nothing arrives.
void Giver::arrive(int t) {
    for (int r = 0; r < shot_.given.carry_count; ++r) {
        const aplomb_carry& carry = carries_[r];
        if (t == 0 || carry.first != t || !is_thrown(r)) continue;
        const double speed = std::sqrt(2 * gravity_ * options_.falls[r] * shot_.unit), mass = carry.load.mass;
        const bool to_arms = in_arms(carry);
        const double before = to_arms ? mass_at(t, true) - mass : shot_.body_mass;
        Yield& yield = to_arms ? arms_ : legs_;
        yield.velocity += (speed - yield.velocity) * mass / (before + mass);
    }
}

/// Moves both gives on from the frame before. The force that slows the load in the arms presses on the body.
void Giver::move(int t) {
    const double seconds = shot_.times[t] - shot_.times[t - 1];
    const int steps = std::max(1, static_cast<int>(std::ceil(seconds / short_step)));
    const double load = mass_at(t, false) / shot_.body_mass, held = mass_at(t, true) / shot_.body_mass;
    aplomb_give_make(APLOMB_GIVE_LEGS, shot_.leg, gravity_, load, &legs_.give, nullptr);
    const double step = seconds / steps;
    for (int k = 1; k <= steps; ++k) {
        const double before = arms_.velocity;
        arms_.move(0, step);
        legs_.velocity -= (arms_.velocity - before) * held / (1 + load);
        legs_.move(rest_[t - 1] + (rest_[t] - rest_[t - 1]) * k / steps, step);
    }
}

void Giver::go_through() {
    double arm = 0;
    int arms = 0;
    for (int i = 0; i < figure_.limb_count; ++i)
        if (figure_.limbs[i].kind == APLOMB_ARM) arm += figure_.limbs[i].length, ++arms;
    aplomb_give_make(APLOMB_GIVE_ARMS, arms > 0 ? arm / arms : shot_.leg, gravity_, 0, &arms_.give, nullptr);
    legs_.place = rest_[0];
    for (int t = 0; t < shot_.count; ++t) {
        if (t > 0) move(t);
        arrive(t);
        if (!stands(t)) legs_.stop(); // in the air there is nothing to give against
        gives_[t] = {legs_.place, stands(t) ? arms_.place : 0};
    }
}

void Giver::land(const aplomb_flight& flight) {
    const int down = flight.last + 1;
    if (down >= shot_.count) return;
    int leaves = down;
    while (leaves < shot_.count && stands(leaves))
        ++leaves;
    aplomb_give give;
    aplomb_give_make(APLOMB_GIVE_LANDING, shot_.leg, gravity_, 0, &give, nullptr);
    const Landing landing({hips_height_, shot_.times}, give, flight.first, down, leaves,
                          std::max(0.0, flight.gravity));
    for (int t = down; landing.adds() && t <= landing.last(); ++t)
        gives_[t].hips += landing.at(shot_.times[t] - shot_.times[down]);
}

void Giver::fade_out() {
    double leaves = shot_.times[shot_.count - 1] + before_flight;
    for (int t = shot_.count - 1; t >= 0; --t) {
        if (!stands(t)) leaves = shot_.times[t];
        const double part = smoothstep((leaves - shot_.times[t]) / before_flight);
        gives_[t].hips *= part, gives_[t].arms *= part;
    }
}

aplomb_status Giver::write(aplomb_error* error) {
    aplomb_contact contacts[APLOMB_MAX_LIMBS];
    GivenFrame frame;
    const size_t pose = shot_.number_size() * static_cast<size_t>(figure_.joint_count);
    for (int t = 0; t < shot_.count; ++t) {
        void *places = translations_ + 3 * pose * static_cast<size_t>(t),
             *turns = rotations_ + 4 * pose * static_cast<size_t>(t);
        const double hips = gives_[t].hips, arms = gives_[t].arms;
        if (hips == 0 && arms == 0) {
            std::memcpy(places, shot_.translations(t), 3 * pose);
            std::memcpy(turns, shot_.rotations(t), 4 * pose);
            continue;
        }
        make_situation(t, frame, contacts);
        if (const auto s = aplomb_give_pose(solver_.solver, &frame.situation, hips / shot_.unit,
                                            arms / shot_.unit, places, turns, error))
            return at_frame(s, shot_.given.first_number + t, error);
    }
    return APLOMB_OK;
}

aplomb_status Giver::run(void* translations, void* rotations, aplomb_clip_given* given, aplomb_error* error) {
    const ScratchBlock block(allocator_, [&](Layout& layout) { lay_out(layout); });
    if (!block) return block.refused(error);
    Layout layout = block.layout();
    lay_out(layout);
    shot_.fill_times();
    for (int r = 0; r < shot_.given.carry_count; ++r) {
        carries_[r] = shot_.given.carries[r];
        if (is_thrown(r)) carries_[r].pick_up = 0;
    }
    shot_.given.carries = carries_;
    if (const auto s = read(error)) return s;
    if (const auto s = aplomb_solver_create(&figure_, &allocator_, &solver_.solver, error)) return s;
    if (const auto s = find_heights(error)) return s;
    if (const auto s = find_rests(error)) return s;
    go_through();
    int32_t flights = 0;
    const aplomb_flight* flight = aplomb_clip_flights(read_.reading, &flights);
    for (int32_t k = 0; options_.landings && k < flights; ++k)
        land(flight[k]);
    fade_out();
    if (const auto s = write(error)) return s;
    // Only now, with all frames done, is anything written over what was read.
    const size_t pose = shot_.number_size() * static_cast<size_t>(figure_.joint_count);
    for (int t = 0; t < shot_.count; ++t) {
        const auto row = static_cast<size_t>(t);
        shot_.put_out(t, translations_ + 3 * pose * row, rotations_ + 4 * pose * row, translations,
                      rotations);
        if (given) given[t] = {gives_[t].hips / shot_.unit, gives_[t].arms / shot_.unit};
    }
    return APLOMB_OK;
}

aplomb_status check_falls(const aplomb_clip_give_options& options, int carries, aplomb_error* error) {
    for (int r = 0; options.falls && r < carries; ++r)
        if (!(options.falls[r] >= 0 && options.falls[r] <= 1e9))
            return fail(error, APLOMB_BAD_ARGUMENT, "falls", r,
                        "options.falls[%d] is %g; it must be 0 to 1e9.", r, options.falls[r]);
    return APLOMB_OK;
}

} // namespace
} // namespace aplomb

using namespace aplomb;

void aplomb_clip_give_options_init(aplomb_clip_give_options* options, size_t size) {
    init_struct(options, size, aplomb_clip_give_options{});
}

aplomb_status aplomb_clip_give(const aplomb_figure* figure, const aplomb_clip* clip,
                               const aplomb_clip_give_options* options, const aplomb_allocator* allocator,
                               void* translations, void* rotations, aplomb_clip_given* given,
                               aplomb_error* error) {
    if (!translations) return fail(error, APLOMB_BAD_ARGUMENT, "translations", -1, "translations is NULL.");
    if (!rotations) return fail(error, APLOMB_BAD_ARGUMENT, "rotations", -1, "rotations is NULL.");
    aplomb_clip whole{};
    if (const auto s = take_clip(figure, clip, whole, error)) return s;
    if (const auto s = check_allocator(allocator, error)) return s;
    aplomb_clip_give_options how{};
    if (options) {
        if (const auto s = check_struct(options, "options", error)) return s;
        how = read_struct(options, how);
    }
    if (const auto s = check_falls(how, whole.carry_count, error)) return s;
    const aplomb_allocator used = allocator_or_default(allocator);
    return Giver(*figure, whole, how, used).run(translations, rotations, given, error);
}
