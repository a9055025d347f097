// SPDX-License-Identifier: MIT
// Figures of 2 to 8.5 heads under a carried load: roles and soles are found, masses fit the body, and the
// default correction is neither nothing nor at a limit. All measures are invented, after the way that drawing
// handbooks set bodies out in heads, with shorter legs, larger feet and a broader body the fewer heads there
// are (common practice). The joints of an adult are set into them, and each segment gets a closed box of skin.
#include <gtest/gtest.h>

#include "balance/carries.h"
#include "balance/checks.h"
#include "figure/skin.h"

namespace own {
namespace {

/// What is drawn differently: hip joints' height as a part of the stature; kilograms and metres to go with it.
struct Kind {
    double heads, hips, stature, mass;
};
constexpr Kind kinds[] = {{2, .26, .60, 9},     {3, .33, .90, 18},    {4, .40, 1.10, 24},
                          {5.5, .47, 1.40, 42}, {7.5, .53, 1.75, 75}, {8.5, .55, 1.90, 88}};

/// Measures in metres.
struct Measures {
    double head, chin, hips, neck, shoulder, shoulder_half, hip_half, arm, foot, ankle, knee;
};

Measures measures_of(const Kind& kind) {
    const double h = kind.stature, stout = (7.5 - kind.heads) / 5.5; // 1: two heads, 0: a grown man
    Measures m{};
    m.head = h / kind.heads, m.chin = h - m.head, m.hips = kind.hips * h;
    m.neck = m.hips + .89 * (m.chin - m.hips), m.shoulder = m.hips + .96 * (m.neck - m.hips);
    m.shoulder_half = (.108 + .03 * stout) * h, m.hip_half = (.046 + .034 * stout) * h;
    m.arm = m.shoulder - .74 * m.hips;
    m.foot = (.152 + .02 * stout) * h, m.ankle = .26 * m.foot;
    m.knee = m.ankle + .5 * (m.hips - m.ankle);
    return m;
}

void place(lay::LayFigure& f, const std::string& joint, const lay::Point& p) {
    f.positions[static_cast<size_t>(f.find(joint))] = p;
}

void place_limbs(lay::LayFigure& f, const Measures& m, const std::string& side, double sign) {
    const double x = sign * m.shoulder_half, leg = sign * m.hip_half, behind = -.18 * m.foot;
    place(f, side + "clavicle", {.2 * x, m.shoulder, 0});
    place(f, side + "upper_arm", {x, m.shoulder, 0});
    place(f, side + "lower_arm", {x, m.shoulder - .38 * m.arm, 0});
    place(f, side + "hand", {x, m.shoulder - .745 * m.arm, 0});
    place(f, side + "thigh", {leg, m.hips, 0});
    place(f, side + "shank", {leg, m.knee, .5 * behind});
    place(f, side + "foot", {leg, m.ankle, behind});
    place(f, side + "toe", {leg, .1 * m.foot, behind + .49 * m.foot});
}

void set_tip(lay::LayFigure& f, const std::string& joint, const lay::Point& tip) {
    double* t = &f.tips[3 * static_cast<size_t>(f.find(joint))];
    t[0] = tip.x, t[1] = tip.y, t[2] = tip.z;
}

lay::LayFigure body_of(const Kind& kind) {
    const Measures m = measures_of(kind);
    lay::LayFigure f = lay::LayFigure::adult();
    f.give_roles = false, f.total_mass = kind.mass;
    for (const char* side : {"left_", "right_"}) // as files name it
        f.names[static_cast<size_t>(f.find(std::string(side) + "girdle"))] = std::string(side) + "clavicle";
    const double trunk = m.neck - m.hips, skull = m.chin + .32 * m.head;
    place(f, "hips", {0, m.hips, 0});
    const double parts[] = {.133, .367, .633};
    for (size_t i = 0; i < 3; ++i)
        place(f, "spine_" + std::to_string(i + 1), {0, m.hips + parts[i] * trunk, 0});
    place(f, "neck", {0, m.neck, 0}), place(f, "head", {0, skull, 0});
    set_tip(f, "head", {0, kind.stature - skull, 0});
    for (const char* side : {"left_", "right_"}) {
        place_limbs(f, m, side, side[0] == 'l' ? 1 : -1);
        set_tip(f, std::string(side) + "hand", {0, -.255 * m.arm, 0});
        set_tip(f, std::string(side) + "toe", {0, -.05 * m.foot, .26 * m.foot});
    }
    for (int32_t j = 0; j < f.count(); ++j) {
        const int32_t above = f.parents[static_cast<size_t>(j)];
        const lay::Point t = f.position(j) - (above < 0 ? lay::Point{} : f.position(above));
        double* out = &f.translations[3 * static_cast<size_t>(j)];
        out[0] = t.x, out[1] = t.y, out[2] = t.z;
    }
    return f;
}

/// A body in boxes, and the volume of each joint's.
class BoxedSkin {
public:
    BoxedSkin(const lay::LayFigure& f, const Measures& m) : f_(f), volumes_(static_cast<size_t>(f.count())) {
        const double wide = m.shoulder_half, deep = .6 * m.shoulder_half;
        const double levels[] = {m.hips - .1 * (m.neck - m.hips), at("spine_1").y, at("spine_2").y,
                                 at("spine_3").y, m.neck};
        const char* const trunk[] = {"hips", "spine_1", "spine_2", "spine_3"};
        for (size_t i = 0; i < 4; ++i)
            add(trunk[i], {-wide, levels[i], -deep}, {wide, levels[i + 1], deep});
        const double neck = .2 * m.head, skull = .36 * m.head, top = at("head").y + skull;
        add("neck", {-neck, m.neck, -neck}, {neck, at("head").y - .3 * m.head, neck});
        add("head", {-skull, top - 2 * skull, -skull}, {skull, top, skull});
        for (const std::string side : {"left_", "right_"}) {
            const double arm = .3 * m.shoulder_half, leg = .55 * m.hip_half + .05 * (m.hips - m.ankle);
            add_down(side + "upper_arm", at(side + "lower_arm").y, arm);
            add_down(side + "lower_arm", at(side + "hand").y, .8 * arm);
            add_down(side + "hand", at(side + "hand").y - .255 * m.arm, .6 * arm);
            add_down(side + "thigh", m.knee, leg);
            add_down(side + "shank", m.ankle, .75 * leg);
            const lay::Point a = at(side + "foot"), ball = at(side + "toe");
            const double half = .19 * m.foot;
            add(side + "foot", {a.x - half, 0, a.z - .25 * m.foot}, {a.x + half, m.ankle, ball.z});
            add(side + "toe", {a.x - half, 0, ball.z}, {a.x + half, .1 * m.foot, ball.z + .26 * m.foot});
        }
    }
    const Skin& skin() const { return skin_; }
    /// Of the whole, for joints whose name ends so.
    double part(const std::string& end) const {
        double some = 0, all = 0;
        for (size_t j = 0; j < volumes_.size(); ++j) {
            const std::string& name = f_.names[j];
            const bool counts =
                name.size() >= end.size() && name.compare(name.size() - end.size(), end.size(), end) == 0;
            all += volumes_[j], some += counts ? volumes_[j] : 0;
        }
        return some / all;
    }

private:
    lay::Point at(const std::string& joint) const { return f_.position(f_.find(joint)); }
    void add_down(const std::string& joint, double to, double half) {
        const lay::Point p = at(joint);
        add(joint, {p.x - half, to, p.z - half}, {p.x + half, p.y, p.z + half});
    }
    void add(const std::string& joint, const lay::Point& low, const lay::Point& high) {
        const int32_t j = f_.find(joint);
        int32_t v[8];
        for (int i = 0; i < 8; ++i)
            v[i] = skin_.add({i & 1 ? high.x : low.x, i & 2 ? high.y : low.y, i & 4 ? high.z : low.z}, j);
        static constexpr int faces[6][4] = {{0, 4, 6, 2}, {1, 3, 7, 5}, {0, 1, 5, 4},
                                            {2, 6, 7, 3}, {0, 2, 3, 1}, {4, 5, 7, 6}};
        for (const auto& face : faces) {
            skin_.add_triangle(v[face[0]], v[face[1]], v[face[2]]);
            skin_.add_triangle(v[face[0]], v[face[2]], v[face[3]]);
        }
        volumes_[static_cast<size_t>(j)] += (high.x - low.x) * (high.y - low.y) * (high.z - low.z);
    }

    const lay::LayFigure& f_;
    Skin skin_;
    std::vector<double> volumes_;
};

class Proportions : public testing::TestWithParam<Kind> {
protected:
    Proportions() : measures(measures_of(GetParam())), c(body_of(GetParam())), boxes(c.shape, measures) {
        aplomb_figure_desc desc = c.shape.desc();
        const aplomb_skin skin = boxes.skin().view();
        desc.skin = &skin;
        c.solver.reset();
        c.figure = lay::LayFigure::create_figure(desc);
        c.bones = Bones(c.figure.get());
        c.solver = make_solver(c.figure.get());
    }
    double mass_part(int32_t role) const {
        double sum = 0;
        for (const aplomb_joint_info& joint : c.bones.joints)
            sum += joint.role == role ? joint.mass : 0;
        return sum / c.bones.body_mass();
    }

    Measures measures;
    Character c;
    BoxedSkin boxes;
};

TEST_P(Proportions, RolesAreFoundFromTheNames) {
    for (size_t j = 0; j < c.bones.joints.size(); ++j) {
        EXPECT_EQ(c.bones.joints[j].role, c.shape.roles[j]) << c.shape.names[j];
        EXPECT_EQ(c.bones.joints[j].side, c.shape.sides[j]) << c.shape.names[j];
    }
    EXPECT_NEAR(c.bones.info.stature, GetParam().stature, .01 * GetParam().stature);
    EXPECT_NEAR(c.bones.info.leg_length, measures.hips - measures.ankle, .01 * GetParam().stature);
}

TEST_P(Proportions, SolesAreTheFeetOfTheSkin) {
    ASSERT_EQ(c.bones.limbs.size(), 4u);
    for (const aplomb_limb_info& limb : c.bones.limbs) {
        const bool leg = limb.kind == APLOMB_LEG;
        EXPECT_EQ(limb.sole_point_count > 0, leg);
        if (!leg) continue;
        EXPECT_EQ(limb.sole_origin, APLOMB_ORIGIN_SHAPE);
        EXPECT_NEAR(limb.sole_length, measures.foot, 1e-9);
        EXPECT_NEAR(limb.sole_breadth, .38 * measures.foot, 1e-9);
    }
}

/// A head of more than twice a grown man's part (P. de Leva, J. Biomech. 29(9), 1996, table 4: 6.94 % with the
/// neck) takes the skin's volumes; otherwise the body is his.
TEST_P(Proportions, MassesFitTheBody) {
    EXPECT_NEAR(c.bones.body_mass(), GetParam().mass, 1e-9);
    const double drawn = boxes.part("head") + boxes.part("neck");
    const double head = mass_part(APLOMB_ROLE_HEAD) + mass_part(APLOMB_ROLE_NECK);
    std::printf("%.1f heads: head and neck %.1f %% of the volume, %.1f %% of the mass, %s\n",
                GetParam().heads, 100 * drawn, 100 * head, c.bones.info.mass_source);
    if (GetParam().heads <= 4) {
        EXPECT_GT(drawn, 2 * .0694);
        EXPECT_NEAR(head, drawn, .005);
        EXPECT_NEAR(mass_part(APLOMB_ROLE_THIGH), boxes.part("thigh"), .005);
        EXPECT_NEAR(mass_part(APLOMB_ROLE_UPPER_ARM), boxes.part("upper_arm"), .005);
    } else {
        EXPECT_LT(drawn, 2 * .0694);
        EXPECT_NEAR(head, .0694, .002);
    }
}

/// A fifth of the body's mass in both hands, elbows bent.
Moment carrying(const Character& c) {
    lay::Pose pose = stand(c);
    pose.both("upper_arm", -15).both("lower_arm", -60);
    Moment m(pose);
    aplomb_load load = aplomb_load_make(.2 * c.bones.body_mass(), c.find("left_hand"));
    load.holder[1] = c.find("right_hand");
    m.loads = {load};
    return m;
}

TEST_P(Proportions, ALoadIsCarriedWithoutComingToALimit) {
    const Moment m = carrying(c);
    const Answer a = balance(c, m);
    ASSERT_EQ(a.status, APLOMB_OK) << a.error.message;
    EXPECT_TRUE(a.result.changed);
    for (int32_t i = 0; i < a.result.hold_back_count; ++i)
        ADD_FAILURE() << "held back by " << a.result.hold_backs[i].name;
    const Look look = look_of(c, m, a);
    const double trunk = std::hypot(look.lean_forward, look.lean_left);
    const double hips =
        Vector(look.hips_left, look.hips_up, look.hips_forward).norm() / c.bones.info.leg_length;
    std::printf(
        "%.1f heads: hips %.1f %% of the leg, chest %.1f degrees, knees %+.1f degrees, to home %.1f -> "
        "%.1f %% of the leg\n",
        GetParam().heads, 100 * hips, look.lean_forward, look.knee_change[0],
        100 * look.before / c.bones.info.leg_length, 100 * look.after / c.bones.info.leg_length);
    // With two heads nearly three quarters of the mass are head: the trunk's turn does almost all.
    EXPECT_GT(hips, GetParam().heads > 2 ? .005 : .003); // an arch keeps them nearer than a straight lean
    EXPECT_LT(hips, .25);
    EXPECT_GT(trunk, 2);
    EXPECT_LT(trunk, 24);
    EXPECT_LT(look.lean_forward, 0); // away from the load
    EXPECT_LT(look.after, .5 * look.before);
}

TEST_P(Proportions, ALoadedFigureStandsInBalanceOnItsFeet) {
    const Moment m = carrying(c);
    const Answer a = balance(c, m);
    ASSERT_EQ(a.status, APLOMB_OK) << a.error.message;
    const World keyed = c.bones.world(m.translations.data(), m.rotations.data());
    const aplomb_reading after = read(c, m, a);
    EXPECT_TRUE(after.in_balance);
    EXPECT_GE(after.margin, after.margin_asked);
    Moment standing = m;
    for (const char* foot : {"left_foot", "right_foot"})
        standing.contacts.push_back(aplomb_contact_make(c.limb(foot), APLOMB_BEARING));
    const Moved moved = moved_ends(c, standing, keyed, a.world);
    EXPECT_LT(moved.place, 1e-9);
    EXPECT_LT(moved.turn, 1e-9);
    EXPECT_LT(angle_excess(c, standing, keyed, a.world), 1e-6);
    for (const char* side : {"left", "right"}) {
        const double bend = knee_bend(c, a.world, side);
        EXPECT_GT(bend, 1) << side;
        EXPECT_LT(bend, 60) << side;
    }
}

INSTANTIATE_TEST_SUITE_P(Heads, Proportions, testing::ValuesIn(kinds), [](const auto& kind) {
    return std::to_string(static_cast<int>(10 * kind.param.heads)) + "Tenths";
});

} // namespace
} // namespace own
