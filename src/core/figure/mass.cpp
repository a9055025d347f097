// SPDX-License-Identifier: MIT
// Segment masses: as given, from the skin (mesh_mass.cpp), or from a published table (mass_tables.cpp) laid on
// the joints in the neutral.
// Where the tables' end points are in a figure:
//   middle of the hips   between the thigh joints
//   C7                   the first neck joint; not lower than de Leva's C7 over shoulder height, because some
//                        files put that joint between the shoulders
//   crown                over the head joint at the figure's stature
//   heel, toe tip, ball  as the sole has them (foot_shape.h), at half the ankle's height
//   knuckle              from the wrist along the hand, at the table's part of the forearm
// Joints off these lines (shoulder girdle, fingers, face, twist) get no mass: the tables count it with the segment beside.
#include <algorithm>

#include "base/scratch.h"
#include "figure/foot_shape.h"
#include "figure/frame.h"
#include "figure/mass_pieces.h"
#include "figure/mesh_mass.h"

namespace aplomb {
namespace {

const Vec3& place_of(const Figure& figure, int32_t joint) {
    return figure.joints[joint].neutral_position;
}

// ---- Trunk and head --------------------------------------------------------------------------------------

/// Mean of the first joints of all limbs of a kind; false where there are none.
bool middle_of(const Figure& figure, aplomb_limb_kind kind, Vec3* middle) {
    Vec3 sum;
    int count = 0;
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        if (figure.limbs[i].kind != kind) continue;
        sum += place_of(figure, figure.limbs[i].upper);
        ++count;
    }
    if (count > 0) *middle = sum / count;
    return count > 0;
}

/// The lines from the middle of the hips to C7, and on to the crown.
struct Axis {
    Line trunk, head;
};

Vec3 top_of_trunk(const Figure& figure, const MassTable& table, const Vec3& hips) {
    const int32_t joint = figure.neck_count > 0 ? figure.neck[0].joint : figure.head;
    Vec3 shoulders, top = joint >= 0 ? place_of(figure, joint) : place_of(figure, figure.chest);
    if (!is_quadruped(figure) && middle_of(figure, APLOMB_ARM, &shoulders)) {
        const double least = hips.y + table.shoulder_to_neck * (shoulders.y - hips.y);
        const double most = figure.head >= 0 ? place_of(figure, figure.head).y : least;
        top.y = std::max(top.y, std::min(least, most));
    }
    const double usual = figure.stature * table.reference_trunk / table.reference_stature;
    return norm(top - hips) > 0.1 * usual ? top : hips + Vec3{0, usual, 0};
}

Axis axis_of(const Draft& draft, const MassTable& table) {
    // Four-footed figures: the crown is as far beyond the head joint as half the way from the neck's base to that joint.
    constexpr double beyond_head = 0.5;
    const Figure& figure = draft.figure;
    Axis axis;
    if (!middle_of(figure, APLOMB_LEG, &axis.trunk.near_end))
        axis.trunk.near_end = place_of(figure, figure.hips);
    const Vec3 neck = top_of_trunk(figure, table, axis.trunk.near_end);
    axis.trunk.far_end = axis.head.near_end = neck;
    const Vec3 head = figure.head >= 0 ? place_of(figure, figure.head) : neck;
    Vec3 crown = {head.x, figure.stature, head.z};
    if (is_quadruped(figure)) crown = head + (head - neck) * beyond_head;
    const double usual = figure.stature * (1 - table.reference_trunk / table.reference_stature) / 5;
    axis.head.far_end = norm(crown - neck) > 0.1 * usual ? crown : neck + Vec3{0, usual, 0};
    return axis;
}

void add_trunk(MassSums& sums, const Draft& draft, const MassTable& table, const Axis& axis, Pieces& pieces) {
    const Figure& figure = draft.figure;
    pieces.count = 0;
    pieces.add(figure.hips, 0);
    for (int32_t i = 0; i < figure.spine_count; ++i) {
        const int32_t joint = figure.spine[i].joint;
        pieces.add(joint, place_on(axis.trunk, place_of(figure, joint)));
    }
    for (int i = 0; i < table.trunk_count; ++i)
        sums.spread(axis.trunk, table.trunk[i].from, table.trunk[i].to, table.trunk[i].row, pieces);
}

void add_head(MassSums& sums, const Draft& draft, const MassTable& table, const Axis& axis, Pieces& pieces) {
    const Figure& figure = draft.figure;
    pieces.count = 0;
    const auto add = [&](int32_t joint) { pieces.add(joint, place_on(axis.head, place_of(figure, joint))); };
    for (int32_t i = 0; i < figure.neck_count; ++i)
        add(figure.neck[i].joint);
    if (figure.head >= 0) add(figure.head);
    if (pieces.count == 0) add(figure.chest);
    sums.spread(axis.head, 0, 1, table.head, pieces);
}

// ---- Limbs -----------------------------------------------------------------------------------------------

/// Shares the row among all joints from `upper` down to the one before `lower`.
void add_span(MassSums& sums, const Figure& figure, int32_t upper, int32_t lower, const SegmentRow& row,
              Pieces& pieces) {
    const Line line = {place_of(figure, upper), place_of(figure, lower)};
    int32_t path[max_joints];
    int count = 0;
    for (int32_t j = figure.joints[lower].carrier; j >= 0; j = figure.joints[j].carrier) {
        path[count++] = j;
        if (j == upper) break;
    }
    pieces.count = 0;
    while (count-- > 0)
        pieces.add(path[count], place_on(line, place_of(figure, path[count])));
    sums.spread(line, 0, 1, row, pieces);
}

void add_end(MassSums& sums, const Figure& figure, const Limb& limb, const Line& line, const SegmentRow& row,
             Pieces& pieces) {
    pieces.count = 0;
    pieces.add(limb.end, 0);
    if (limb.toe >= 0) pieces.add(limb.toe, place_on(line, place_of(figure, limb.toe)));
    sums.spread(line, 0, 1, row, pieces);
}

Line line_of_foot(const Draft& draft, const Limb& limb, const MassTable& table) {
    const Vec3& end = place_of(draft.figure, limb.end);
    const FootShape foot = measure_foot(draft, limb, draft.figure.stature);
    const Vec3 tip = {foot.left, foot.ground, foot.heel + foot.length};
    if (foot.is_paw) return {end, end + tip};
    if (table.foot_from_ankle) {
        // The ball joint's height over the ankle's: 1.3 of 11 cm (Winter's worked example of a leg).
        return {end, end + Vec3{foot.left, foot.ground * (1 - 1.3 / 11), foot.ball}};
    }
    const Vec3 half_up = {0, -0.5 * foot.ground, 0};
    return {end + Vec3{foot.left, foot.ground, foot.heel} + half_up, end + tip + half_up};
}

Line line_of_hand(const Draft& draft, const Limb& limb, const MassTable& table) {
    const Figure& figure = draft.figure;
    const Vec3& wrist = place_of(figure, limb.end);
    const Vec3 forearm = wrist - place_of(figure, limb.lower);
    const double length = table.hand_per_forearm * norm(forearm);
    const Quat turn = figure.joints[limb.end].neutral * conjugate(draft.rest[limb.end].rotation);
    Vec3 along = forearm, fingers;
    if (segment_end(draft, limb.end, &fingers) && norm(fingers) > 0.01 * length)
        along = rotate(turn, fingers);
    return {wrist, wrist + along * (length / norm(along))};
}

void add_limb(MassSums& sums, const Draft& draft, const Limb& limb, const MassTable& table, Pieces& pieces) {
    const Figure& figure = draft.figure;
    const bool leg = limb.kind == APLOMB_LEG;
    add_span(sums, figure, limb.upper, limb.lower, leg ? table.thigh : table.upper_arm, pieces);
    add_span(sums, figure, limb.lower, limb.end, leg ? table.shank : table.forearm, pieces);
    const bool foot = limb.kind != APLOMB_ARM;
    SegmentRow row = leg ? table.foot : table.hand;
    if (foot && !leg) row.centre = 0.5; // a fore paw: the hand's row ends at the knuckle
    add_end(sums, figure, limb, foot ? line_of_foot(draft, limb, table) : line_of_hand(draft, limb, table),
            row, pieces);
}

// ---- Tail ------------------------------------------------------------------------------------------------

Vec3 end_of_tail_joint(const Draft& draft, int32_t joint) {
    const Figure& figure = draft.figure;
    const Joint& tail = figure.joints[joint];
    for (int32_t j = 0; j < figure.joint_count; ++j)
        if (figure.joints[j].carrier == joint && figure.joints[j].role == APLOMB_ROLE_TAIL)
            return place_of(figure, j);
    if (draft.has_tip[joint]) return tail.neutral_position + rotate(tail.neutral, tail.tip);
    // A last joint without a known end is taken to be as long as the one before it.
    return tail.neutral_position * 2 - place_of(figure, tail.parent);
}

/// What a tail weighs beside the rest of the body, and how it tapers. No table has tails: two per cent, shared evenly, is
/// common practice for slender ones.
struct TailWeight {
    double part = 0.02;
    bool cone = false;
};

/// On two feet a trunk that leans at rest is weighed up by its tail: a cone, at its root as thick as .9 of the trunk (by eye),
/// so a third of .9^2 of what a piece of trunk of its length weighs.
TailWeight weigh_tail(const Draft& draft, const MassTable& table, double length) {
    constexpr double root = 0.9, of_cylinder = 1.0 / 3;
    constexpr double upright = 0.87; // cosine of 30 degrees
    const Figure& figure = draft.figure;
    const Vec3 trunk = draft.rest[figure.chest].position - draft.rest[figure.hips].position;
    const bool leans = norm(trunk) > 0 && trunk.y < upright * norm(trunk);
    TailWeight tail;
    if (is_quadruped(figure) || !leans) return tail;
    double weight = 0;
    for (int i = 0; i < table.trunk_count; ++i)
        weight += table.trunk[i].row.mass;
    const double part = of_cylinder * root * root * weight * length / norm(trunk);
    if (part > tail.part) tail = {part, true};
    return tail;
}

double length_of_tail_joint(const Draft& draft, int32_t joint) {
    return norm(end_of_tail_joint(draft, joint) - place_of(draft.figure, joint));
}

/// Along the tail from its root to the joint.
double place_on_tail(const Draft& draft, int32_t joint) {
    const Figure& figure = draft.figure;
    double sum = 0;
    for (int32_t j = figure.joints[joint].carrier; j >= 0 && figure.joints[j].role == APLOMB_ROLE_TAIL;
         j = figure.joints[j].carrier)
        sum += length_of_tail_joint(draft, j);
    return sum;
}

/// Returns the tail's part of the whole; 0 where there is none.
double add_tail(MassSums& sums, const Draft& draft, const MassTable& table, Pieces& pieces) {
    constexpr double rod = 0.2887; // radius of gyration of a rod: 1/sqrt(12)
    const Figure& figure = draft.figure;
    const auto is_tail = [&](int32_t j) { return figure.joints[j].role == APLOMB_ROLE_TAIL; };
    double all = 0, reach = 0;
    for (int32_t j = 1; j < figure.joint_count; ++j) {
        if (!is_tail(j)) continue;
        all += length_of_tail_joint(draft, j);
        reach = std::max(reach, place_on_tail(draft, j) + length_of_tail_joint(draft, j));
    }
    if (all <= 0) return 0;
    const TailWeight tail = weigh_tail(draft, table, reach);
    const auto cube = [](double u) { return u * u * u; };
    /// Of a cone from the root on: what lies beyond each end of the joint's piece, by lengths.
    const auto beyond = [&](int32_t j) { return 1 - place_on_tail(draft, j) / reach; };
    double cones = 0; // more than one where there are several tails
    for (int32_t j = 1; tail.cone && j < figure.joint_count; ++j)
        if (is_tail(j)) cones += cube(beyond(j)) - cube(beyond(j) - length_of_tail_joint(draft, j) / reach);
    for (int32_t j = 1; j < figure.joint_count; ++j) {
        if (!is_tail(j)) continue;
        const Line line = {place_of(figure, j), end_of_tail_joint(draft, j)};
        const double length = norm(line.far_end - line.near_end);
        SegmentRow row = {tail.part * length / all, 0.5, rod, rod, 0.1};
        if (tail.cone && length > 0) {
            const double root = beyond(j), end = root - length / reach;
            const double piece = cube(root) - cube(end);
            row.mass = tail.part * piece / cones;
            row.centre = (root - 0.75 * (root * cube(root) - end * cube(end)) / piece) / (root - end);
        }
        pieces.count = 0;
        pieces.add(j, 0);
        sums.spread(line, 0, 1, row, pieces);
    }
    return tail.part / (1 + tail.part);
}

// ---- The whole body --------------------------------------------------------------------------------------

double total_mass_of(Draft& draft, const MassTable& table, const Axis& axis) {
    if (draft.desc.total_mass > 0) return draft.desc.total_mass;
    // The height of a four-footed figure says little of its size; its trunk does.
    const double scale = is_quadruped(draft.figure)
                             ? norm(axis.trunk.far_end - axis.trunk.near_end) / table.reference_trunk
                             : draft.figure.stature / table.reference_stature;
    const double mass = table.reference_mass * scale * scale * scale;
    draft.remark("The body's mass, %.*g kg, is the table's body scaled with the cube of the %s.",
                 mass_digits(mass), mass, is_quadruped(draft.figure) ? "trunk" : "stature");
    return mass;
}

void remark_on_table(Draft& draft, double tail) {
    if (is_quadruped(draft.figure))
        draft.remark("Masses: a human table by role, fore legs as arms; no measure of a four-footed body "
                     "(common practice).");
    if (tail > 0)
        draft.remark("Masses: the tail has %.2g %% of the body (%s).", 100 * tail,
                     tail < 0.02 ? "common practice" : "by its length beside the trunk's, by eye");
    if (draft.desc.mass_table == APLOMB_MASS_CHILD)
        draft.remark("Masses: a child's mass parts with an adult's centres and radii.");
}

struct Workspace {
    MassSums sums;
    Pieces pieces;
};

aplomb_status share_from_table(Draft& draft, aplomb_error* error) {
    ScratchObject<Workspace> work(draft.figure.allocator);
    if (!work) return ScratchObject<Workspace>::refused(error);
    MassSums& sums = work->sums;
    Pieces& pieces = work->pieces;
    Figure& figure = draft.figure;
    const MassTable& table = mass_table(static_cast<aplomb_mass_table>(draft.desc.mass_table));
    const Axis axis = axis_of(draft, table);
    add_trunk(sums, draft, table, axis, pieces);
    add_head(sums, draft, table, axis, pieces);
    for (int32_t i = 0; i < figure.limb_count; ++i)
        add_limb(sums, draft, figure.limbs[i], table, pieces);
    const double tail = add_tail(sums, draft, table, pieces);

    figure.total_mass = total_mass_of(draft, table, axis);
    figure.mass_source =
        is_quadruped(figure) ? "a human table by role, fore legs as arms (common practice)" : table.source;
    sums.finish(figure, figure.total_mass);
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        Joint& joint = figure.joints[j];
        const bool published = !is_quadruped(figure) && joint.role != APLOMB_ROLE_TAIL;
        joint.mass_origin = published ? APLOMB_ORIGIN_PUBLISHED : APLOMB_ORIGIN_FROM_MEMORY;
    }
    remark_on_table(draft, tail);
    return APLOMB_OK;
}

// ---- Given masses ----------------------------------------------------------------------------------------

Mat3 symmetric(const double* i) {
    return {{{i[0], i[3], i[4]}, {i[3], i[1], i[5]}, {i[4], i[5], i[2]}}};
}

/// A round solid bar along the segment, its radius a seventh of its length.
Mat3 inertia_of_bar(double mass, const Vec3& along) {
    constexpr double radius_per_length = 1.0 / 7;
    const double square = dot(along, along);
    if (square <= 0) return {};
    const double lengthwise = 0.5 * radius_per_length * radius_per_length * square;
    const double across = square / 12 + 0.5 * lengthwise;
    const Mat3 axis = Mat3::outer(along, along) * (1 / square);
    return (Mat3::identity() * across + axis * (lengthwise - across)) * mass;
}

void take_given_joint(const Draft& draft, int32_t j) {
    const aplomb_figure_desc& desc = draft.desc;
    Joint& joint = draft.figure.joints[j];
    joint.mass = desc.masses[j];
    joint.mass_origin = APLOMB_ORIGIN_GIVEN;
    Vec3 end;
    if (segment_end(draft, j, &end)) end = rotate(conjugate(draft.rest[j].rotation), end);
    const double* c = desc.centres ? desc.centres + 3 * j : nullptr;
    joint.centre = c ? length_in(draft.figure.frame, {c[0], c[1], c[2]}) : end * 0.5;
    Mat3 inertia = inertia_of_bar(joint.mass, end);
    if (desc.inertias) {
        const Mat3 axes = axes_in(draft.figure.frame);
        inertia = axes * symmetric(desc.inertias + 6 * j) * transpose(axes);
    }
    joint.inertia = {inertia.row[0].x, inertia.row[1].y, inertia.row[2].z,
                     inertia.row[0].y, inertia.row[0].z, inertia.row[1].z};
}

aplomb_status take_given_masses(Draft& draft, aplomb_error* error) {
    Figure& figure = draft.figure;
    double sum = 0;
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        take_given_joint(draft, j);
        sum += figure.joints[j].mass;
    }
    if (!(sum > 0))
        return fail(error, APLOMB_BAD_FIGURE, "masses", -1, "All %d masses are 0.", figure.joint_count);
    constexpr double tolerance = 1e-3;
    if (draft.desc.total_mass > 0 && std::fabs(draft.desc.total_mass - sum) > tolerance * sum)
        draft.remark("The given masses sum to %.4g kg; total_mass, %.4g kg, is not used.", sum,
                     draft.desc.total_mass);
    figure.total_mass = sum;
    figure.mass_source = "given";
    return APLOMB_OK;
}

bool has_legs(const Figure& figure) {
    return std::any_of(figure.limbs, figure.limbs + figure.limb_count,
                       [](const Limb& limb) { return limb.kind != APLOMB_ARM; });
}

} // namespace

aplomb_status share_mass(Draft& draft, aplomb_error* error) {
    if (draft.desc.masses) return take_given_masses(draft, error);
    const Figure& figure = draft.figure;
    if (!(figure.stature > 0) && !has_legs(figure))
        return fail(error, APLOMB_BAD_FIGURE, "roles", -1,
                    "No legs were found, and without them the stature comes out as %.3g m. Give their joints "
                    "roles, or give all masses.",
                    figure.stature);
    if (!(figure.stature > 0)) {
        const int32_t top = figure.head >= 0 ? figure.head : figure.hips;
        return fail(error, APLOMB_BAD_FIGURE, "translations", top,
                    "The stature comes out as %.3g m: joint '%s' is not above the feet. Check up_axis.",
                    figure.stature, figure.joints[top].name);
    }
    bool from_skin = false;
    if (const auto s = take_skin_masses(draft, &from_skin, error)) return s;
    return from_skin ? APLOMB_OK : share_from_table(draft, error);
}

} // namespace aplomb
