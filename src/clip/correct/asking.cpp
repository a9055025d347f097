// SPDX-License-Identifier: MIT
#include "clip/correct/asking.h"

#include <algorithm>
#include <cmath>

#include "capi/situation.h"
#include "clip/check.h"
#include "clip/correct/rounds.h"
#include "figure/frame.h"
#include "moment/tension.h"

namespace aplomb {
namespace {

constexpr double loop_padding = 0.6;        // seconds
constexpr double least_pressing = 0.3;      // of gravity, with a contact
constexpr double least_height = 0.1;        // of the leg
constexpr double noticed = 0.005;           // of the leg: a shift that counts as a fault
constexpr double noticed_give = 2 * degree; // of a knee under a load, to count as a fault
constexpr double at_rest = 1e-9;            // metres, in a clip of a single frame
constexpr double unknown_after = 1;         // times T, before an end
constexpr double unknown_past = 0.05;       // of the leg
constexpr double around = 1.3;              // times T, before and after a fault

Vec3 on_ground(const Ground& g, const Vec2& p) {
    return g.fore * p.fore + g.left * p.left;
}

/// The balance point of a body in motion less that of a still one.
} // namespace

void Asking::lay_out(Layout& layout) {
    const size_t joints = static_cast<size_t>(figure_.joint_count), frames = static_cast<size_t>(shot_.count);
    plan_.trunk = layout.take<uint8_t>(joints);
    plan_.needed = layout.take<int32_t>(joints);
    plan_.is_needed = layout.take<uint8_t>(joints);
    for (int k = 0; k < tasks_.count(shot_.count); ++k)
        room_[k].lay_out(layout, joints);
    asked_ = layout.take<Asked>(frames);
    for (int limb = 0; limb < figure_.limb_count; ++limb)
        footing_[limb] = layout.take<uint8_t>(frames);
    for (int limb = 0; limb < figure_.limb_count; ++limb)
        if (figure_.limbs[limb].kind == APLOMB_ARM) reaching_[limb] = layout.take<double>(frames);
    riding_ = layout.take<double>(frames);
    body_ = layout.take<Vec3>(frames);
    for (int r = 0; r < shot_.given.carry_count; ++r) {
        Vec3*& places = load_[shot_.given.carries[r].which];
        places = places ? places : layout.take<Vec3>(frames);
    }
    times_ = layout.take<double>(3 * frames);
    centres_ = layout.take<Vec3>(3 * frames);
    smoother_.lay_out(layout, 3 * frames);
    gaps_ = layout.take<double>(frames + 1);
    swing_ = layout.take<Swing>(frames);
    due_ = layout.take<double>(3 * frames);
    filter_.lay_out(layout, shot_.count, is_ring());
}

double Asking::gap(int t) const {
    const double* times = shot_.times;
    const int last = shot_.count - 1;
    if (last == 0) return 1;
    if (t > 0 && t <= last) return times[t] - times[t - 1];
    return (times[last] - times[0]) / last; // for a loop; an open end is not asked for it
}

void Asking::set_up(const aplomb_clip_reading& reading) {
    make_body_plan(figure_, plan_);
    int32_t count;
    const aplomb_stance_range* ranges = aplomb_clip_stances(&reading, &count);
    for (int r = 0; r < count; ++r) {
        for (int t = ranges[r].first; t <= ranges[r].last; ++t)
            footing_[ranges[r].limb][t] = static_cast<uint8_t>(1 + ranges[r].footing);
    }
    const aplomb_clip_frame* read = aplomb_clip_frames(&reading, nullptr);
    for (int t = 0; t < shot_.count; ++t) {
        asked_[t].at_end = read[t].near_end != 0 && !is_ring();
        for (int limb = 0; limb < figure_.limb_count; ++limb)
            asked_[t].bears = asked_[t].bears || footing_[limb][t] > 0;
    }
    some_foot_ = some_foot(figure_);
    for (int t = 0; t <= shot_.count; ++t)
        gaps_[t] = gap(t);
    find_exempt();
}

void Asking::find_exempt() {
    for (int r = 0; r < options_.exempt_count; ++r) {
        const aplomb_exempt_range& range = options_.exempt[r];
        for (int t = range.first; t <= range.last; ++t) {
            double part = range.part;
            const double in = shot_.times[t] - shot_.times[range.first],
                         out = shot_.times[range.last] - shot_.times[t];
            if (range.ease > 0 && range.first > 0) part *= smoothstep(in / range.ease);
            if (range.ease > 0 && range.last + 1 < shot_.count) part *= smoothstep(out / range.ease);
            asked_[t].exempt = r;
            asked_[t].exempt_part = part;
        }
    }
}

/// Legs that do not bear are held, so that lifting a foot moves nothing at once.
aplomb_status Asking::make(int t, const Vec3& acceleration, const PoseRoom& room, Key& key,
                           aplomb_error* error) const {
    aplomb_contact contacts[APLOMB_MAX_LIMBS];
    int count = 0;
    const bool bears = asked_[t].bears;
    for (int limb = 0; limb < figure_.limb_count; ++limb) {
        const int footing = footing_[limb][t];
        if (footing == 0 && reaching_[limb] && reaching_[limb][t] == 0) continue;
        // In the air some foot is made to bear, so that there is a ground until the situation is made.
        const bool stands = footing > 0 || (!bears && limb == some_foot_);
        contacts[count] = aplomb_contact_make(limb, stands ? APLOMB_BEARING : APLOMB_HELD);
        contacts[count++].footing = footing > 0 ? footing - 1 : APLOMB_FLAT;
    }
    GivenFrame given;
    give_frame(shot_, t, given);
    given.situation.contacts = contacts, given.situation.contact_count = count;
    put(given.situation.com_acceleration, length_out(figure_.frame, acceleration));
    if (const auto s = bring_key(figure_, plan_, given.situation, room, key, error))
        return at_frame(s, shot_.given.first_number + t, error);
    if (const auto s = check_correctable(figure_, key.stance, error))
        return at_frame(s, shot_.given.first_number + t, error);
    if (!bears) key.stance.hold[some_foot_] = APLOMB_HELD;
    return APLOMB_OK;
}

aplomb_status Asking::find_motion(aplomb_error* error) {
    Key key;
    for (int t = 0; t < shot_.count; ++t) {
        if (const auto s = make(t, {}, room_[0], key, error)) return s;
        asked_[t].centre = key.ground.origin + first_moment_of(key) / key.pressing.mass;
        body_[t] = key.body.first_moment / shot_.body_mass;
        int next = 0;
        for (int r = 0; r < shot_.given.carry_count; ++r) {
            const aplomb_carry& carry = shot_.given.carries[r];
            if (t < carry.first || t > carry.last) continue;
            const Load& load = key.load[next++];
            load_[carry.which][t] = load.centre;
            if (t == carry.first) find_hands(carry, load);
        }
        const Ground& g = key.ground;
        gravity_ = -dot(g.gravity, g.normal), up_ = g.normal;
        if (asked_[t].bears)
            swing_[t].square = std::max(g.height(asked_[t].centre), least_height * figure_.leg_length);
    }
    // In the air the height over the ground is that of the contact before, or of the first.
    int first = 0;
    while (first + 1 < shot_.count && !asked_[first].bears)
        ++first;
    for (int t = 0; t < shot_.count; ++t) {
        if (!asked_[t].bears) swing_[t].square = swing_[t > 0 ? t - 1 : first].square;
    }
    for (int t = 0; t < shot_.count; ++t) {
        asked_[t].lever = swing_[t].square / gravity_;
        swing_[t].square = asked_[t].lever * options_.flow;
    }
    find_accelerations();
    find_unknown();
    return APLOMB_OK;
}

/// Adds mass times acceleration of a thing that is at these places, with this mass, in a part of the clip.
template<class Mass>
void Asking::add_pressing(const Vec3* places, int first, int last, Mass mass) {
    const int count = last - first + 1;
    if (count < 3) return;
    int pad = 0;
    Vec3 cycle;
    double period = 0;
    if (is_ring() && count == shot_.count) {
        period = shot_.times[last] - shot_.times[0] + gap(0);
        pad = std::min(count, static_cast<int>(std::ceil(loop_padding / gap(0))));
        cycle = cycle_travel(places, shot_.count, loop_travels * figure_.leg_length);
    }
    const int all = count + 2 * pad;
    for (int k = 0; k < all; ++k) {
        const int from = first + k - pad,
                  turn = from < first  ? -1
                         : from > last ? 1
                                       : 0,
                  t = from - turn * count;
        times_[k] = shot_.times[t] + turn * period;
        centres_[k] = places[t] + cycle * turn;
    }
    smoother_.set_up(times_, all, motion_frequency);
    smoother_.smooth(centres_);
    for (int t = first; t <= last; ++t)
        asked_[t].acceleration += curvature(times_, centres_, all, t - first + pad) * mass(t);
}

/// Finds the accelerations of the common centre of mass, as the ground feels them: body by body, since a load whose weight
/// comes onto the body shifts the common centre without moving itself.
void Asking::find_accelerations() {
    const double body = shot_.body_mass;
    add_pressing(body_, 0, shot_.count - 1, [&](int) { return body; });
    for (int r = 0; r < shot_.given.carry_count; ++r) {
        const aplomb_carry& carry = shot_.given.carries[r];
        add_pressing(load_[carry.which], carry.first, carry.last,
                     [&](int t) { return carry.load.mass * carried_part(shot_, carry, t); });
    }
    for (int t = 0; t < shot_.count; ++t) {
        double mass = body;
        for (int r = 0; r < shot_.given.carry_count; ++r)
            mass += shot_.given.carries[r].load.mass * carried_part(shot_, shot_.given.carries[r], t);
        asked_[t].acceleration = asked_[t].acceleration * (options_.key_acceleration / mass);
    }
}

/// Near the ends of a moving clip its acceleration reads as none, but is most likely what it was a moment before: a walk that is
/// cut off in a step would else be brought over the foot on which it never stops. What so moves the balance point by more than
/// a little is not known there, and nothing is asked.
void Asking::find_unknown() {
    const auto moves = [&](int t) {
        const Vec3& a = asked_[t].acceleration;
        return asked_[t].lever * norm(a - up_ * dot(up_, a));
    };
    const auto find = [&](int end, int step) {
        const double within = unknown_after * std::sqrt(asked_[end].lever);
        double most = 0;
        for (int t = end; t >= 0 && t < shot_.count; t += step) {
            const bool near = asked_[t].at_end;
            if (!near && std::fabs(shot_.times[t] - shot_.times[end]) > within) break;
            most = std::max(most, moves(t));
        }
        for (int t = end; t >= 0 && t < shot_.count && asked_[t].at_end; t += step)
            asked_[t].known = 1 - smoothstep(most / (unknown_past * figure_.leg_length));
    };
    find(0, 1), find(shot_.count - 1, -1);
}

Vec2 Asking::swung(int t, const Key& key) const {
    Swung swung(key);
    for (int k = 0; k < options_.tension_count; ++k) {
        const aplomb_clip_tension& tension = options_.tensions[k];
        const aplomb_carry& carry = shot_.given.carries[tension.carry];
        if (t < carry.first || t > carry.last) continue;
        int index = 0;
        for (int r = 0; r < tension.carry; ++r)
            index += shot_.given.carries[r].first <= t && t <= shot_.given.carries[r].last;
        const double* f = tension.forces + 3 * t;
        swung.add(index, direction_in(figure_.frame, {f[0], f[1], f[2]}) * carried_part(shot_, carry, t));
    }
    return swung.way();
}

aplomb_status Asking::bring(int t, const PoseRoom& room, Key& key, Support& support, Aim& aim,
                            Carriage& carriage, aplomb_error* error) const {
    const Asked& asked = asked_[t];
    if (const auto s = make(t, asked.bears ? asked.acceleration : Vec3{}, room, key, error)) return s;
    support = make_support(figure_, key, correction_.margin);
    const Vec2 swing = swung(t, key);
    if (asked.bears && (swing.fore != 0 || swing.left != 0)) {
        for (int i = 0; i < support.bounds.count; ++i)
            support.bounds.bound[i] -= dot(support.bounds.normal[i], swing);
        support.margin = margin_of(support.area, key.balance_point + swing);
    }
    aim = make_aim(figure_, plan_, key, support, correction_.heft);
    carriage = make_carriage(figure_, plan_, key, aim, correction_);
    put_hands(t, carriage);
    const double kept = 1 - asked.exempt_part;
    aim.hips_way = aim.hips_way * kept;
    aim.rest_point = key.balance_point + (aim.rest_point - key.balance_point) * kept;
    if (!asked.bears || kept <= 0) support.bounds.count = 0;
    for (int i = 0; i < support.bounds.count; ++i) {
        double& bound = support.bounds.bound[i];
        const double past = std::max(dot(support.bounds.normal[i], key.balance_point) - bound, 0.0);
        bound += std::max(asked.exempt_part, 1 - asked.known) * past;
    }
    return APLOMB_OK;
}

template<class Visit>
aplomb_status Asking::each(int frames, aplomb_error* error, const Visit& visit) const {
    struct {
        aplomb_status status = APLOMB_OK;
        aplomb_error error{};
    } outcome[Tasks::most];
    tasks_.each(frames, [&](int task, int first, int end) {
        auto& out = outcome[task];
        for (int t = first; t < end && out.status == APLOMB_OK; ++t)
            out.status = visit(task, t, &out.error);
    });
    for (const auto& out : outcome) {
        if (out.status == APLOMB_OK) continue;
        if (error) *error = out.error;
        return out.status;
    }
    return APLOMB_OK;
}

aplomb_status Asking::bring(const Span& span, const aplomb_options& options, Range& range,
                            aplomb_error* error) const {
    const auto bring_one = [&](int, int k, aplomb_error* told) {
        Moment& m = range[k];
        const int t = m.number = span.first + k;
        if (const auto s = bring(t, m.room, m.key, m.support, m.aim, m.carriage, told)) return s;
        m.bears = asked_[t].bears;
        m.swung = m.bears ? swung(t, m.key) : Vec2{};
        m.sway = m.bears ? swing_[t].square / swing_[t].pressing : 0;
        const Ground& g = m.key.ground;
        m.aim.rest_point = m.key.balance_point + Vec2{dot(g.fore, asked_[t].due), dot(g.left, asked_[t].due)};
        range.gaps()[k] = gap(t);
        return APLOMB_OK;
    };
    if (const auto s = each(range.count(), error, bring_one)) return s;
    range.gaps()[range.count()] = gap(span.last + 1);
    const Grid grid = {range.count(), is_ring(), span.first > 0, span.last + 1 < shot_.count, range.gaps()};
    range.set_up(figure_, options, grid, swing_ + span.first);
    return APLOMB_OK;
}

aplomb_status Asking::find_needs(aplomb_error* error) {
    const auto find_need = [&](int task, int t, aplomb_error* told) {
        Key key;
        Support support;
        Aim aim;
        Carriage carriage;
        Asked& asked = asked_[t];
        // A body that falls faster presses too little to judge where it presses.
        const double rise = dot(asked.acceleration, up_), least = (least_pressing - 1) * gravity_;
        if (asked.bears && rise < least) asked.acceleration += up_ * (least - rise);
        if (const auto s = bring(t, room_[task], key, support, aim, carriage, told)) return s;
        const Ground& g = key.ground;
        swing_[t].pressing = asked.bears ? -dot(g.normal, g.felt) / gravity_ : 0;
        asked.margin = support.margin, asked.margin_asked = support.margin_asked;
        asked.need = asked.bears ? on_ground(g, aim.rest_point - key.balance_point) : Vec3{};
        swing_[t].known = asked.known;
        const double give = *std::max_element(carriage.bend, carriage.bend + max_limbs);
        asked.gives = asked.bears && asked.exempt_part < 1 && give > noticed_give;
        asked.fault = support.bounds.count > 0 && !asked.at_end && asked.exempt_part < 1 &&
                      support.margin < support.margin_asked;
        return APLOMB_OK;
    };
    if (const auto s = each(shot_.count, error, find_need)) return s;
    const Grid grid = {shot_.count, is_ring(), false, false, gaps_};
    filter_.set_up(grid, swing_);
    for (int t = 0; t < shot_.count; ++t)
        put(due_ + 3 * t, asked_[t].need);
    for (int a = 0; a < 3; ++a)
        filter_.run(due_ + a, 3);
    const double least = shot_.count == 1 ? at_rest : noticed * figure_.leg_length;
    for (int t = 0; t < shot_.count; ++t) {
        Asked& asked = asked_[t];
        asked.due = {due_[3 * t], due_[3 * t + 1], due_[3 * t + 2]};
        asked.fault = asked.fault || asked.gives || (norm(asked.due) > least && asked.exempt_part < 1);
    }
    return APLOMB_OK;
}

/// Seconds that a range reaches before and after a fault.
double Asking::reach(int t) const {
    const Swing& swing = swing_[t];
    return around * std::sqrt(swing.square / std::max(swing.pressing, least_pressing));
}

int Asking::find_ranges(Span* ranges) const {
    const int last = shot_.count - 1;
    bool any = false;
    for (int t = 0; t <= last; ++t)
        any = any || asked_[t].fault;
    if (!any && options_.whole == 0) return 0;
    if (options_.whole != 0 || is_ring()) { // a loop has no end to fade out to
        ranges[0] = {0, last};
        return 1;
    }
    int count = 0;
    for (int t = 0; t <= last; ++t) {
        if (!asked_[t].fault) continue;
        const double from = shot_.times[t] - reach(t), to = shot_.times[t] + reach(t);
        Span span = {t, t};
        while (span.first > 0 && shot_.times[span.first - 1] >= from)
            --span.first;
        while (span.last < last && shot_.times[span.last + 1] <= to)
            ++span.last;
        // Ranges that meet are one: between two, some frame stays as it is.
        while (count > 0 && span.first <= ranges[count - 1].last + 1) {
            span.first = std::min(span.first, ranges[count - 1].first);
            span.last = std::max(span.last, ranges[count - 1].last);
            --count;
        }
        ranges[count++] = span;
    }
    return count;
}

} // namespace aplomb
