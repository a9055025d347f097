// SPDX-License-Identifier: MIT
// Soles from the skin: box shoes of known size, what is no sole, and what is no skin.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <functional>
#include <string>
#include <vector>

#include "capi/handles.h"
#include "figure/outline.h"
#include "skin.h"

namespace {

using namespace aplomb;
using lay::LayFigure;
using lay::Point;

constexpr double behind = .07, ahead = .20, half_breadth = .05; // of a shoe, from the ankle

/// A skin of boxes, their corners alone.
struct Boxes : Skin {
    void add_box(Point low, Point high, int32_t joint) {
        for (int k = 0; k < 8; ++k)
            add({k & 1 ? high.x : low.x, k & 2 ? high.y : low.y, k & 4 ? high.z : low.z}, joint);
    }
};

struct Dressed {
    LayFigure figure = LayFigure::adult();
    Boxes skin;

    int32_t joint(double side, const char* part) const {
        return figure.find((side > 0 ? "left_" : "right_") + std::string(part));
    }
    Point ankle(double side) const { return figure.position(joint(side, "foot")); }
    Point ball(double side) const { return figure.position(joint(side, "toe")); }
    /// A shoe of two boxes that meet under the toe joint.
    void add_shoe(double side, double bottom) {
        const Point a = ankle(side), b = ball(side);
        skin.add_box({a.x - half_breadth, bottom, a.z - behind}, {a.x + half_breadth, .06, b.z},
                     joint(side, "foot"));
        skin.add_box({a.x - half_breadth, bottom, b.z}, {a.x + half_breadth, .05, a.z + ahead},
                     joint(side, "toe"));
    }
    void add_shoes(double bottom) {
        for (const double side : {1.0, -1.0})
            add_shoe(side, bottom);
    }
    lay::FigureHandle create(const std::function<void(aplomb_figure_desc&)>& change = nullptr) {
        const aplomb_skin view = skin.view();
        aplomb_figure_desc desc = figure.desc();
        desc.skin = &view;
        if (change) change(desc);
        return LayFigure::create_figure(desc);
    }
};

const Limb& leg_of(const Figure& figure, aplomb_side side) {
    for (int32_t i = 0; i < figure.limb_count; ++i)
        if (figure.limbs[i].kind == APLOMB_LEG && figure.limbs[i].side == side) return figure.limbs[i];
    throw std::runtime_error("no leg");
}

Vec3 in_neutral(const Figure& figure, const Sole::Point& point) {
    const Joint& joint = figure.joints[point.joint];
    return to_world({joint.neutral_position, joint.neutral}, point.position);
}

std::string remarks_of(const Figure& figure) {
    std::string all;
    for (int32_t i = 0; i < figure.remark_count; ++i)
        all += std::string(figure.remarks[i].text) + "\n";
    return all;
}

void expect_shoe(const Figure& figure, aplomb_side side) {
    const Limb& leg = leg_of(figure, side);
    const Sole& sole = leg.sole;
    EXPECT_EQ(sole.origin, APLOMB_ORIGIN_SHAPE);
    EXPECT_NEAR(sole.length, behind + ahead, 1e-9);
    EXPECT_NEAR(sole.breadth, 2 * half_breadth, 1e-9);
    ASSERT_EQ(sole.point_count, 8);
    const Vec3 ankle = figure.joints[leg.end].neutral_position;
    const double toe_line = figure.joints[leg.toe].neutral_position.z - ankle.z;
    for (int i = 0; i < 8; ++i) {
        const Sole::Point& point = sole.points[i];
        const Vec3 place = in_neutral(figure, point);
        EXPECT_NEAR(place.y, 0, 1e-9);
        EXPECT_NEAR(std::fabs(place.x - ankle.x), half_breadth, 1e-9);
        EXPECT_EQ(point.ball, i >= 4);
        EXPECT_EQ(point.joint, point.ball ? leg.toe : leg.end);
        const double z = place.z - ankle.z, end = point.ball ? ahead : -behind;
        EXPECT_LT(std::min(std::fabs(z - end), std::fabs(z - toe_line)), 1e-9);
    }
    const Placement end = {ankle, figure.joints[leg.end].neutral};
    EXPECT_NEAR(norm(to_world(end, sole.heel) - Vec3{ankle.x, 0, ankle.z - behind}), 0, 1e-9);
    EXPECT_NEAR(norm(to_world(end, sole.tip) - Vec3{ankle.x, 0, ankle.z + ahead}), 0, 1e-9);
}

TEST(MeshSoles, ABoxShoeExactly) {
    Dressed dressed;
    dressed.add_shoes(0);
    const auto figure = dressed.create();
    expect_shoe(*figure, APLOMB_SIDE_LEFT);
    expect_shoe(*figure, APLOMB_SIDE_RIGHT);
    EXPECT_NEAR(figure->sole_length, behind + ahead, 1e-9);
    EXPECT_EQ(remarks_of(*figure).find("sole"), std::string::npos) << remarks_of(*figure);
}

/// The crown stays at 1.75 m over the rest pose's origin; thick soles lift it over the ground.
TEST(MeshSoles, TheGroundFollowsTheMesh) {
    for (const double bottom : {-.05, -.01, .02}) {
        Dressed dressed;
        dressed.add_shoes(bottom);
        const auto figure = dressed.create();
        expect_shoe(*figure, APLOMB_SIDE_LEFT);
        const Limb& leg = leg_of(*figure, APLOMB_SIDE_LEFT);
        EXPECT_NEAR(figure->joints[leg.end].neutral_position.y, .039 * 1.75 - bottom, 1e-9);
        const double straightened = leg.length - (.53 - .039) * 1.75; // the rest pose's legs lean a little
        EXPECT_NEAR(figure->stature, 1.75 - bottom + straightened, 1e-9);
    }
}

/// A foot that rests turned outwards is turned forward with all its vertices.
TEST(MeshSoles, ATurnedFoot) {
    Dressed dressed;
    const double angle = 25 * degree;
    for (const double side : {1.0, -1.0}) {
        const Point a = dressed.ankle(side);
        const Quat turn = exp_rotation({0, side * angle, 0});
        const size_t before = dressed.skin.positions.size();
        dressed.add_shoe(side, 0);
        for (size_t i = before; i < dressed.skin.positions.size(); i += 3) {
            double* p = &dressed.skin.positions[i];
            const Vec3 q = rotate(turn, {p[0] - a.x, p[1], p[2] - a.z});
            p[0] = q.x + a.x, p[2] = q.z + a.z;
        }
        const size_t toe = static_cast<size_t>(dressed.joint(side, "toe"));
        for (double* numbers : {&dressed.figure.translations[3 * toe], &dressed.figure.tips[3 * toe]}) {
            const Vec3 q = rotate(turn, {numbers[0], numbers[1], numbers[2]});
            numbers[0] = q.x, numbers[1] = q.y, numbers[2] = q.z;
        }
    }
    const auto figure = dressed.create();
    expect_shoe(*figure, APLOMB_SIDE_LEFT);
    expect_shoe(*figure, APLOMB_SIDE_RIGHT);
}

/// A thin heel and a ball: what is between them hangs over the ground, the sole is their common outline.
TEST(MeshSoles, AHighHeel) {
    Dressed dressed;
    for (const double side : {1.0, -1.0}) {
        const Point a = dressed.ankle(side);
        const int32_t foot = dressed.joint(side, "foot");
        dressed.skin.add_box({a.x - .006, 0, a.z - .05}, {a.x + .006, .06, a.z - .038}, foot);
        dressed.skin.add_box({a.x - .03, .03, a.z - .05}, {a.x + .03, .06, a.z + .1}, foot);
        dressed.skin.add_box({a.x - .04, 0, a.z + .1}, {a.x + .04, .02, a.z + .18},
                             dressed.joint(side, "toe"));
    }
    const auto figure = dressed.create();
    const Limb& leg = leg_of(*figure, APLOMB_SIDE_LEFT);
    EXPECT_EQ(leg.sole.origin, APLOMB_ORIGIN_SHAPE);
    EXPECT_NEAR(leg.sole.length, .23, 1e-9);
    EXPECT_NEAR(leg.sole.breadth, .08, 1e-9);
    for (int i = 0; i < leg.sole.point_count; ++i)
        EXPECT_NEAR(in_neutral(*figure, leg.sole.points[i]).y, 0, 1e-9);
}

/// Many vertices round the edge: at most 16 points, and hardly any area lost.
TEST(MeshSoles, ARoundSole) {
    Dressed dressed;
    for (const double side : {1.0, -1.0}) {
        const Point a = dressed.ankle(side), b = dressed.ball(side);
        for (int k = 0; k < 200; ++k) {
            const SinCos turn = sin_cos(2 * pi * k / 200);
            const Point p = {a.x + .05 * turn.cos, 0, a.z + .065 + .135 * turn.sin};
            dressed.skin.add(p, dressed.joint(side, p.z > b.z ? "toe" : "foot"));
        }
    }
    const auto figure = dressed.create();
    const Sole& sole = leg_of(*figure, APLOMB_SIDE_LEFT).sole;
    EXPECT_EQ(sole.point_count, 16);
    std::vector<PlanePoint> points, work(17);
    for (int i = 0; i < sole.point_count; ++i) {
        const Vec3 p = in_neutral(*figure, sole.points[i]);
        points.push_back({p.x, p.z});
    }
    const int corners = convex_outline(points.data(), sole.point_count, work.data());
    EXPECT_EQ(corners, 12); // the cut's corners lie on straight edges
    EXPECT_GT(area_of(points.data(), corners), .95 * pi * .05 * .135);
    EXPECT_LE(area_of(points.data(), corners), pi * .05 * .135);
}

/// Without toe joint the front part is told by its place.
TEST(MeshSoles, AFootWithoutToeJoint) {
    Dressed dressed;
    dressed.add_shoes(0);
    for (const double side : {1.0, -1.0}) {
        const size_t toe = static_cast<size_t>(dressed.joint(side, "toe"));
        dressed.figure.roles[toe] = APLOMB_ROLE_PROP;
        for (int32_t& joint : dressed.skin.joints)
            if (joint == static_cast<int32_t>(toe)) joint = dressed.joint(side, "foot");
    }
    const auto figure = dressed.create();
    const Limb& leg = leg_of(*figure, APLOMB_SIDE_LEFT);
    ASSERT_EQ(leg.toe, -1);
    EXPECT_NEAR(leg.sole.length, behind + ahead, 1e-9);
    ASSERT_EQ(leg.sole.point_count, 8);
    for (int i = 0; i < 8; ++i) {
        EXPECT_EQ(leg.sole.points[i].joint, leg.end);
        EXPECT_EQ(leg.sole.points[i].ball, i >= 4);
    }
}

TEST(MeshSoles, InCentimetresWithZUp) {
    Dressed dressed;
    dressed.add_shoes(0);
    // Left X, up Z, forward -Y.
    const auto turned = [](std::vector<double>& numbers) {
        for (size_t i = 0; i < numbers.size(); i += 3) {
            const double y = numbers[i + 1];
            numbers[i] *= 100;
            numbers[i + 1] = -100 * numbers[i + 2];
            numbers[i + 2] = 100 * y;
        }
    };
    turned(dressed.figure.translations);
    turned(dressed.figure.tips);
    turned(dressed.skin.positions);
    const auto figure = dressed.create([](aplomb_figure_desc& desc) {
        desc.metres_per_unit = .01;
        desc.up_axis = APLOMB_AXIS_Z;
        desc.forward_axis = APLOMB_AXIS_MINUS_Y;
    });
    expect_shoe(*figure, APLOMB_SIDE_LEFT);
    aplomb_limb_info leg;
    aplomb_limb_info_init(&leg, sizeof leg);
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    ASSERT_EQ(aplomb_figure_describe(figure.get(), &info, nullptr), APLOMB_OK);
    EXPECT_EQ(info.up_axis, APLOMB_AXIS_Z);
    EXPECT_EQ(info.forward_axis, APLOMB_AXIS_MINUS_Y);
    for (int32_t i = 0; i < info.limb_count; ++i) {
        ASSERT_EQ(aplomb_figure_limb(figure.get(), i, &leg, nullptr), APLOMB_OK);
        if (leg.kind == APLOMB_ARM) {
            // Hands hang, so they grip below the wrist.
            EXPECT_LT(leg.palm[2], -5);
            EXPECT_EQ(leg.sole_point_count, 0);
            EXPECT_EQ(leg.sole_joint[0], -1);
            continue;
        }
        EXPECT_NEAR(leg.sole_length, 27, 1e-7);
        ASSERT_EQ(leg.sole_point_count, 8);
        double back = -1e30;
        for (int k = 0; k < 4; ++k) {
            EXPECT_EQ(leg.sole_joint[k], leg.end);
            EXPECT_EQ(leg.sole_joint[4 + k], leg.toe);
            EXPECT_NEAR(leg.sole_points[k][2], -3.9 * 1.75, 1e-7);
            back = std::max(back, leg.sole_points[k][1]);
        }
        EXPECT_NEAR(back, 7, 1e-7); // behind the ankle is +Y
    }
}

// ---- What is no sole -----------------------------------------------------------------------------------

struct Implausible {
    const char* remark;
    std::function<void(Dressed&)> dress;
};

const Implausible implausible[] = {
    {"has no vertices that move with it",
     [](Dressed& d) {
         d.skin.add({0, 1, 0}, 0);
     }},
    {"has too few vertices near the ground (2; the joints let expect 3)",
     [](Dressed& d) {
         for (const double side : {1.0, -1.0}) {
             d.skin.add({side * .08, 0, -.05}, d.joint(side, "foot"));
             d.skin.add({side * .08, 0, .1}, d.joint(side, "foot"));
         }
     }},
    {"touches the ground with an unlikely area",
     [](Dressed& d) {
         for (const double side : {1.0, -1.0}) {
             d.add_shoe(side, .03);
             const Point a = d.ankle(side);
             d.skin.add_box({a.x - .01, 0, a.z}, {a.x + .01, .02, a.z + .02}, d.joint(side, "foot"));
         }
     }},
    {"is unlikely wide where it touches the ground, metres (1;",
     [](Dressed& d) {
         for (const double side : {1.0, -1.0})
             d.skin.add_box({side - .5, 0, -.5}, {side + .5, .02, .5}, d.joint(side, "foot"));
     }},
    {"ends at an unlikely depth below the joint", [](Dressed& d) { d.add_shoes(-.4); }},
    {"ends at an unlikely depth below the joint",
     [](Dressed& d) {
         for (const double side : {1.0, -1.0})
             d.skin.add_box({side * .08 - .05, .1, -.1}, {side * .08 + .05, .2, .1}, d.joint(side, "foot"));
     }},
};

TEST(MeshSoles, ImplausibleOnesAreEstimatedAsBefore) {
    const auto bare = LayFigure::adult().create();
    for (const Implausible& c : implausible) {
        Dressed dressed;
        c.dress(dressed);
        const auto figure = dressed.create();
        const std::string remarks = remarks_of(*figure);
        EXPECT_NE(remarks.find("(left_foot) is estimated from the joints: the skin " + std::string(c.remark)),
                  std::string::npos)
            << c.remark << "\n"
            << remarks;
        EXPECT_NE(remarks.find("(right_foot)"), std::string::npos);
        const Sole &found = leg_of(*figure, APLOMB_SIDE_LEFT).sole,
                   &usual = leg_of(*bare, APLOMB_SIDE_LEFT).sole;
        EXPECT_EQ(found.origin, usual.origin);
        EXPECT_EQ(found.length, usual.length);
        EXPECT_EQ(found.point_count, usual.point_count);
        EXPECT_EQ(figure->stature, bare->stature);
    }
}

TEST(MeshSoles, GivenSolesWin) {
    Dressed dressed;
    dressed.add_shoe(1, 0);
    const double points[] = {-.04, -.07, -.06, .04, -.07, -.06, 0, -.07, .2};
    const aplomb_patch patches[] = {{dressed.joint(1, "foot"), 3, points},
                                    {dressed.joint(-1, "foot"), 3, points}};
    const auto figure = dressed.create([&](aplomb_figure_desc& desc) {
        desc.soles = patches;
        desc.sole_count = 2;
    });
    for (const aplomb_side side : {APLOMB_SIDE_LEFT, APLOMB_SIDE_RIGHT}) {
        const Sole& sole = leg_of(*figure, side).sole;
        EXPECT_EQ(sole.origin, APLOMB_ORIGIN_GIVEN);
        EXPECT_EQ(sole.point_count, 3);
        EXPECT_NEAR(sole.length, .26, 1e-9);
    }
    // The right foot has no vertices, but nobody needs them.
    EXPECT_EQ(remarks_of(*figure).find("sole"), std::string::npos) << remarks_of(*figure);
}

// ---- What is no skin -----------------------------------------------------------------------------------

struct BadSkin {
    const char* field;
    int index;
    const char* message;
    std::function<void(Skin&, aplomb_skin&)> spoil;
};

const BadSkin bad_skins[] = {
    {"skin.vertex_count", -1, "skin.vertex_count is 0; it must be 1 to 67108864.",
     [](Skin&, aplomb_skin& s) { s.vertex_count = 0; }},
    {"skin.triangle_count", -1, "skin.triangle_count is -1; it must be 0 to 67108864.",
     [](Skin&, aplomb_skin& s) { s.triangle_count = -1; }},
    {"skin.positions", -1, "skin.positions is NULL.", [](Skin&, aplomb_skin& s) { s.positions = nullptr; }},
    {"skin.joints", -1, "skin.joints is NULL.", [](Skin&, aplomb_skin& s) { s.joints = nullptr; }},
    {"skin.weights", -1, "skin.weights is NULL.", [](Skin&, aplomb_skin& s) { s.weights = nullptr; }},
    {"skin.triangles", -1, "skin.triangles is NULL.", [](Skin&, aplomb_skin& s) { s.triangles = nullptr; }},
    {"skin.positions", 3, "skin.positions of vertex 3: component 1 is nan, not a finite number.",
     [](Skin& k, aplomb_skin&) { k.positions[10] = NAN; }},
    {"skin.positions", 0, "skin.positions of vertex 0: component 0 is 1e+300, beyond 1e+09.",
     [](Skin& k, aplomb_skin&) { k.positions[0] = 1e300; }},
    {"skin.joints", 2, "skin.joints of vertex 2: component 0 is 22; it must be -1 to 21.",
     [](Skin& k, aplomb_skin&) { k.joints[8] = 22; }},
    {"skin.joints", 1, "skin.joints of vertex 1: component 3 is -2; it must be -1 to 21.",
     [](Skin& k, aplomb_skin&) { k.joints[7] = -2; }},
    {"skin.weights", 1, "skin.weights of vertex 1: component 1 is -0.25; it must be 0 or more.",
     [](Skin& k, aplomb_skin&) { k.weights[5] = -.25; }},
    {"skin.weights", 1, "skin.weights of vertex 1: component 2 is inf; it must be 0 or more.",
     [](Skin& k, aplomb_skin&) { k.weights[6] = INFINITY; }},
    {"skin.weights", 0, "skin.weights of vertex 0: component 3 is 0.5, but its joint is -1.",
     [](Skin& k, aplomb_skin&) { k.weights[3] = .5; }},
    {"skin.weights", 4, "skin.weights of vertex 4 sum to 0.9, not to 1.",
     [](Skin& k, aplomb_skin&) { k.weights[16] = .9; }},
    {"skin.triangles", 1, "skin.triangles 1: corner 2 is 32; it must be 0 to 31.",
     [](Skin& k, aplomb_skin&) { k.triangles[5] = 32; }},
    {"skin.triangles", 0, "skin.triangles 0: corner 0 is -1; it must be 0 to 31.",
     [](Skin& k, aplomb_skin&) { k.triangles[0] = -1; }},
};

TEST(MeshSoles, BadSkinsAreNamed) {
    for (const BadSkin& c : bad_skins) {
        Dressed dressed;
        dressed.add_shoes(0);
        dressed.skin.triangles = {0, 1, 2, 2, 1, 3};
        aplomb_skin view = dressed.skin.view();
        c.spoil(dressed.skin, view);
        aplomb_figure_desc desc = dressed.figure.desc();
        desc.skin = &view;
        aplomb_figure* figure = nullptr;
        aplomb_error error{};
        EXPECT_EQ(aplomb_figure_create(&desc, nullptr, &figure, &error), APLOMB_BAD_ARGUMENT) << c.message;
        EXPECT_EQ(figure, nullptr);
        EXPECT_STREQ(error.message, c.message);
        EXPECT_STREQ(error.field, c.field);
        EXPECT_EQ(error.index, c.index);
    }
}

/// Every request refused in turn: a status, and nothing is left behind.
TEST(MeshSoles, WithoutMemory) {
    struct Counter {
        int requests = 0, fail_at = -1, out = 0;
        static void* allocate(size_t size, size_t, void* user) {
            Counter& c = *static_cast<Counter*>(user);
            if (c.requests++ == c.fail_at) return nullptr;
            ++c.out;
            return std::malloc(size);
        }
        static void deallocate(void* memory, size_t, void* user) {
            --static_cast<Counter*>(user)->out;
            std::free(memory);
        }
    };
    Dressed dressed;
    dressed.add_shoes(0);
    const aplomb_skin view = dressed.skin.view();
    aplomb_figure_desc desc = dressed.figure.desc();
    desc.skin = &view;
    int refused = 0;
    for (;; ++refused) {
        Counter counter;
        counter.fail_at = refused;
        const aplomb_allocator allocator = {Counter::allocate, Counter::deallocate, &counter};
        aplomb_figure* figure = nullptr;
        const aplomb_status status = aplomb_figure_create(&desc, &allocator, &figure, nullptr);
        aplomb_figure_destroy(figure);
        EXPECT_EQ(counter.out, 0);
        if (status == APLOMB_OK) break;
        EXPECT_EQ(status, APLOMB_OUT_OF_MEMORY);
    }
    EXPECT_GE(refused, 4); // two blocks, and one for each foot
}

// ---- Outlines ------------------------------------------------------------------------------------------

TEST(Outline, HullOfASquareWithPointsInsideAndOnEdges) {
    std::vector<PlanePoint> points = {{0, 0},  {1, 0},  {1, 1},   {0, 1}, {.5, 0}, {1, .5},
                                      {.5, 1}, {0, .5}, {.3, .6}, {0, 0}, {1, 1}};
    std::vector<PlanePoint> work(points.size() + 1);
    const int count = convex_outline(points.data(), static_cast<int>(points.size()), work.data());
    ASSERT_EQ(count, 4);
    EXPECT_DOUBLE_EQ(area_of(points.data(), count), 1);
}

TEST(Outline, OfALineAndOfAPoint) {
    std::vector<PlanePoint> line = {{0, 0}, {2, 4}, {1, 2}, {.5, 1}}, point(3, {1, 2}), work(5);
    EXPECT_EQ(convex_outline(line.data(), 4, work.data()), 2);
    EXPECT_EQ(convex_outline(point.data(), 3, work.data()), 1);
}

TEST(Outline, TheCheapestCornerGoesFirst) {
    PlanePoint corners[] = {{0, 0}, {1, 0}, {1.01, .5}, {1, 1}, {0, 1}};
    ASSERT_EQ(with_fewer_corners(corners, 5, 4), 4);
    EXPECT_DOUBLE_EQ(area_of(corners, 4), 1);
    EXPECT_EQ(with_fewer_corners(corners, 4, 1), 3);
}

TEST(Outline, PartsShareTheCut) {
    const PlanePoint square[] = {{0, 0}, {1, 0}, {1, 1}, {0, 1}};
    PlanePoint part[6];
    int count = part_of_outline(square, 4, .25, false, part);
    EXPECT_EQ(count, 4);
    EXPECT_DOUBLE_EQ(area_of(part, count), .25);
    count = part_of_outline(square, 4, .25, true, part);
    EXPECT_DOUBLE_EQ(area_of(part, count), .75);
    EXPECT_EQ(part_of_outline(square, 4, 2, true, part), 0);
    EXPECT_EQ(part_of_outline(square, 4, 1, false, part), 4); // a cut through corners adds none
}

} // namespace
