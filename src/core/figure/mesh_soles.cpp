// SPDX-License-Identifier: MIT
// A foot is rigid on the way to the neutral, so its vertices are too. Which of them touch, and what is a
// plausible sole, is common practice.
#include "figure/mesh_soles.h"

#include <algorithm>
#include <cmath>

#include "base/error.h"
#include "figure/description.h"
#include "figure/foot_shape.h"
#include "figure/frame.h"
#include "figure/outline.h"

namespace aplomb {
namespace {

// Of the leg, above the foot's lowest point: what the weight presses flat, and the facets of paws with few
// vertices. The leg is the length of both spans or of a usual leg by stature, whichever is longer: cartoons
// have short legs on large feet.
constexpr double touching_part = .02, usual_leg = .35;
constexpr double ground_tolerance = .25; // of the leg, from the ground as estimated from the joints
constexpr double least_area = .15;       // of the area estimated from the joints, length times breadth
constexpr double most_extent = .8;       // of the leg: the hem of a robe is no sole
constexpr double heel_reach =
    .4; // of the foot's length: within this of the ankle, vertices of the shank may be a heel
// Two parts with a cut of two corners each make 16 points.
constexpr int most_corners = max_sole_points - 4;
constexpr double cut_gap = 1e-6; // of the sole's length

/// Points of one outline and the working memory for it.
class PlanePoints {
public:
    PlanePoints(const aplomb_allocator& allocator, int count)
        : allocator_(allocator), size_(sizeof(PlanePoint) * (2 * static_cast<size_t>(count) + 1)),
          points_(static_cast<PlanePoint*>(allocator.allocate(size_, alignof(PlanePoint), allocator.user))) {}
    PlanePoints(const PlanePoints&) = delete;
    PlanePoints& operator=(const PlanePoints&) = delete;
    ~PlanePoints() {
        if (points_) allocator_.deallocate(points_, size_, allocator_.user);
    }
    PlanePoint* get() { return points_; }
    aplomb_status refused(aplomb_error* error) const {
        return fail(error, APLOMB_OUT_OF_MEMORY, "allocator", -1,
                    "The allocator returned NULL for %zu bytes.", size_);
    }

private:
    aplomb_allocator allocator_;
    size_t size_;
    PlanePoint* points_;
};

/// The vertices that move mostly with one joint of a limb or a joint below it, placed as the limb's end carries them into
/// the neutral.
class FootVertices {
public:
    FootVertices(const Draft& draft, const Limb& limb, int32_t from)
        : skin_(*draft.desc.skin), frame_(draft.figure.frame), rest_(draft.rest[limb.end]),
          neutral_(neutral_placement(draft.figure.joints[limb.end])) {
        for (int32_t j = 0; j < draft.figure.joint_count; ++j)
            within_[j] = is_within(draft.figure, j, from);
    }

    /// Calls `use` with the index and the place of each vertex.
    template<class Use>
    void for_each_index(Use use) const {
        for (int32_t v = 0; v < skin_.vertex_count; ++v) {
            if (!belongs(v)) continue;
            const double* p = skin_.positions + 3 * static_cast<size_t>(v);
            use(v, to_world(neutral_, to_local(rest_, length_in(frame_, {p[0], p[1], p[2]}))));
        }
    }
    template<class Use>
    void for_each(Use use) const {
        for_each_index([&](int32_t, const Vec3& place) { use(place); });
    }

private:
    bool belongs(int32_t vertex) const {
        double own = 0, all = 0;
        for (size_t k = 4 * static_cast<size_t>(vertex), end = k + 4; k < end; ++k) {
            all += skin_.weights[k];
            if (skin_.joints[k] >= 0 && within_[skin_.joints[k]]) own += skin_.weights[k];
        }
        return own > 0.5 * all;
    }

    const aplomb_skin& skin_;
    const Frame& frame_;
    Placement rest_, neutral_;
    bool within_[max_joints];
};

/// What the skin shows of one foot.
struct Footprint {
    int vertex_count = 0; // of the whole foot
    double ground = 1e30; // its lowest point, neutral
    int corner_count = 0;
    PlanePoint corners[most_corners];
};

/// How far points reach in each direction, seen from above.
struct Extent {
    double back = 1e30, front = -1e30, right = 1e30, left = -1e30;

    void add(const Vec3& place) {
        back = std::min(back, place.z), front = std::max(front, place.z);
        right = std::min(right, place.x), left = std::max(left, place.x);
    }
    double largest() const { return std::max(front - back, left - right); }
};

double touching_height(const Limb& limb, double stature) {
    return touching_part * std::max(limb.length, usual_leg * stature);
}

/// Taken from all skin near the ground under the ankle, whichever joint moves it: heels often move with the shank.
aplomb_status take_footprint(const Draft& draft, const Limb& limb, double stature, Footprint& print,
                             aplomb_error* error) {
    const FootVertices foot(draft, limb, limb.end), shank(draft, limb, limb.lower);
    Extent extent;
    const Vec3 ankle = draft.figure.joints[limb.end].neutral_position;
    const auto for_each = [&](auto use) {
        foot.for_each(use);
        const double reach = heel_reach * (print.vertex_count > 0 ? extent.largest() : limb.length);
        shank.for_each([&](const Vec3& place) {
            if (norm(reject(place - ankle, Vec3{0, 1, 0})) < reach) use(place);
        });
    };
    foot.for_each([&](const Vec3& place) {
        extent.add(place);
        ++print.vertex_count;
    });
    for_each([&](const Vec3& place) { print.ground = std::min(print.ground, place.y); });
    const double top = print.ground + touching_height(limb, stature);
    int count = 0;
    for_each([&](const Vec3& place) { count += place.y <= top; });
    if (count == 0) return APLOMB_OK;

    PlanePoints memory(draft.figure.allocator, count);
    PlanePoint* points = memory.get();
    if (!points) return memory.refused(error);
    int used = 0;
    for_each([&](const Vec3& place) {
        if (place.y <= top) points[used++] = {place.x, place.z};
    });
    const int corners = convex_outline(points, count, points + count);
    print.corner_count = with_fewer_corners(points, corners, most_corners);
    std::copy(points, points + print.corner_count, print.corners);
    return APLOMB_OK;
}

/// Whether the footprint can be this foot's sole; a remark where not, unless a given sole replaces it.
bool is_plausible(Draft& draft, const Limb& limb, const Footprint& print, double stature, bool given) {
    const Joint& end = draft.figure.joints[limb.end];
    const FootShape expected = measure_foot(draft, limb, stature);
    const auto estimate = [&](const char* why, double found, double usual) {
        if (!given)
            draft.remark("The sole of joint %d (%.64s) is estimated from the joints: the skin %s (%.3g; the "
                         "joints let expect %.3g).",
                         limb.end, end.name, why, found, usual);
        return false;
    };
    if (print.vertex_count == 0 && print.corner_count == 0)
        return estimate("has no vertices that move with it", 0, 1);
    const double drop = end.neutral_position.y - print.ground;
    const double leg = std::max(limb.length, usual_leg * stature);
    if (!(drop > 0) || std::fabs(drop + expected.ground) > ground_tolerance * leg)
        return estimate("ends at an unlikely depth below the joint, metres", drop, -expected.ground);
    if (print.corner_count < 3)
        return estimate("has too few vertices near the ground", print.corner_count, 3);
    const double usual = expected.length * expected.breadth,
                 area = area_of(print.corners, print.corner_count);
    if (area < least_area * usual)
        return estimate("touches the ground with an unlikely area, square metres", area, usual);
    Extent sole;
    for (int i = 0; i < print.corner_count; ++i)
        sole.add({print.corners[i].x, 0, print.corners[i].z});
    const double most = most_extent * leg;
    if (sole.largest() > most)
        return estimate("is unlikely wide where it touches the ground, metres", sole.largest(), most);
    return true;
}

void add_part(const Figure& figure, const Footprint& print, double line, bool front, int32_t joint, bool ball,
              Sole& sole) {
    PlanePoint part[most_corners + 2];
    const int count = part_of_outline(print.corners, print.corner_count, line, front, part);
    const Placement placement = neutral_placement(figure.joints[joint]);
    for (int i = 0; i < count; ++i)
        sole.points[sole.point_count++] = {joint, to_local(placement, {part[i].x, print.ground, part[i].z}),
                                           ball};
}

/// Where the figure stands on its toes, the joint below the end that moves most of what touches the ground; else -1.
int32_t paw_joint(const Draft& draft, const Limb& limb, double stature, const Footprint& print) {
    if (!measure_foot(draft, limb, stature).is_paw) return -1;
    const aplomb_skin& skin = *draft.desc.skin;
    const double top = print.ground + touching_height(limb, stature);
    int votes[max_joints] = {};
    FootVertices(draft, limb, limb.end).for_each_index([&](int32_t vertex, const Vec3& place) {
        const size_t first = 4 * static_cast<size_t>(vertex);
        const double* weights = skin.weights + first;
        const int32_t owner =
            skin.joints[first + static_cast<size_t>(std::max_element(weights, weights + 4) - weights)];
        if (place.y <= top && owner >= 0) ++votes[owner];
    });
    const int32_t most =
        static_cast<int32_t>(std::max_element(votes, votes + draft.figure.joint_count) - votes);
    return votes[most] > 0 && most != limb.end ? most : -1;
}

/// Heel part and ball part, each with its own corners on the line between them; of a paw both on its joint.
void lay_sole(const Figure& figure, const Footprint& print, int32_t paw, Limb& limb) {
    double back = 1e30, tip = -1e30;
    for (int i = 0; i < print.corner_count; ++i) {
        back = std::min(back, print.corners[i].z);
        tip = std::max(tip, print.corners[i].z);
    }
    if (paw >= 0) limb.toe = paw;
    const bool has_toe = limb.toe >= 0 && paw < 0;
    const double line =
        has_toe ? figure.joints[limb.toe].neutral_position.z : back + ball_part * (tip - back);
    // Without a toe joint a point's place alone tells its part (measure_points), so the cuts must differ.
    const double gap = has_toe ? 0 : cut_gap * (tip - back);
    limb.sole = {};
    limb.sole.is_paw = paw >= 0;
    add_part(figure, print, line - gap, false, paw >= 0 ? paw : limb.end, false, limb.sole);
    add_part(figure, print, line + gap, true, limb.toe >= 0 ? limb.toe : limb.end, true, limb.sole);
}

bool has_given_sole(const Draft& draft, const Limb& limb) {
    for (int32_t i = 0; i < draft.desc.sole_count; ++i) {
        if (is_within(draft.figure, draft.desc.soles[i].joint, limb.end)) return true;
    }
    return false;
}

} // namespace

aplomb_status find_mesh_soles(Draft& draft, double stature, aplomb_error* error) {
    if (!draft.desc.skin) return APLOMB_OK;
    for (int32_t i = 0; i < draft.figure.limb_count; ++i) {
        Limb& limb = draft.figure.limbs[i];
        if (limb.kind == APLOMB_ARM) continue;
        Footprint print;
        if (const auto s = take_footprint(draft, limb, stature, print, error)) return s;
        if (is_plausible(draft, limb, print, stature, has_given_sole(draft, limb)))
            lay_sole(draft.figure, print, paw_joint(draft, limb, stature, print), limb);
    }
    return APLOMB_OK;
}

} // namespace aplomb
