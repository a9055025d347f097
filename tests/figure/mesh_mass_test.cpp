// SPDX-License-Identifier: MIT
// Masses from the skin: exact on boxes and prisms, ellipsoids in the limit; pieces that are cut apart sum to the
// whole and do not depend on where the figure is; what is no solid is said, and the table serves.
#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

#include "capi/handles.h"
#include "figure/mesh_moments.h"
#include "skin.h"

namespace {

using namespace aplomb;
using lay::LayFigure;
using lay::Point;

constexpr double water = 1000;
constexpr double pi = 3.14159265358979323846;

/// A skin of turned bodies.
struct Turned : Skin {
    /// Rings of `around` corners each, one above the other, closed by a point at either end.
    template<class Place, class Owner>
    void add_turned(int rings, int around, Point bottom, Point top, Place place, Owner owner) {
        const int32_t first = add(bottom, owner(0));
        std::vector<int32_t> lower(static_cast<size_t>(around), first), ring = lower;
        for (int r = 0; r < rings; ++r) {
            for (int k = 0; k < around; ++k)
                ring[static_cast<size_t>(k)] = add(place(r, k), owner(r));
            for (int k = 0; k < around; ++k) {
                const size_t a = static_cast<size_t>(k), b = static_cast<size_t>((k + 1) % around);
                add_triangle(lower[a], ring[b], ring[a]);
                if (r > 0) add_triangle(lower[a], lower[b], ring[b]);
            }
            lower = ring;
        }
        const int32_t last = add(top, owner(rings - 1));
        for (int k = 0; k < around; ++k)
            add_triangle(lower[static_cast<size_t>(k)], lower[static_cast<size_t>((k + 1) % around)], last);
    }
    /// An upright prism with a regular base of `sides` corners; each ring has an owner.
    void add_prism(Point foot, double radius, double height, int sides, const std::vector<int32_t>& owners) {
        const int rings = static_cast<int>(owners.size());
        add_turned(
            rings, sides, foot, {foot.x, foot.y + height, foot.z},
            [&](int r, int k) {
                const double angle = 2 * pi * k / sides;
                return Point{foot.x + radius * std::sin(angle), foot.y + height * r / (rings - 1),
                             foot.z + radius * std::cos(angle)};
            },
            [&](int r) { return owners[static_cast<size_t>(r)]; });
    }
};

struct Dressed {
    LayFigure figure = LayFigure::adult();
    Turned skin;

    int32_t joint(const char* name) const { return figure.find(name); }
    lay::FigureHandle create(double total_mass = 0) {
        const aplomb_skin view = skin.view();
        figure.mass_table = APLOMB_MASS_SKIN;
        aplomb_figure_desc desc = figure.desc();
        desc.skin = &view;
        desc.total_mass = total_mass;
        return LayFigure::create_figure(desc);
    }
};

std::string remarks_of(const Figure& figure) {
    std::string all;
    for (int32_t i = 0; i < figure.remark_count; ++i)
        all.append(figure.remarks[i].text).append("\n");
    return all;
}

double prism_volume(double radius, double height, int sides) {
    return 0.5 * sides * radius * radius * std::sin(2 * pi / sides) * height;
}

TEST(MeshMass, ABoxIsExact) {
    Dressed d;
    const int32_t chest = d.joint("spine_3");
    d.skin.add_prism({.1, 1.0, .05}, .2, .5, 4,
                     {chest, chest}); // a box with a square base, standing on its corner
    const lay::FigureHandle figure = d.create();
    const Joint& joint = figure->joints[chest];
    const double side = .2 * std::sqrt(2.0), mass = water * side * side * .5;
    EXPECT_NEAR(joint.mass, mass, 1e-9 * mass);
    EXPECT_NEAR(figure->total_mass, mass, 1e-9 * mass);
    const Point at = d.figure.position(chest);
    EXPECT_NEAR(joint.centre.x, .1 - at.x, 1e-12);
    EXPECT_NEAR(joint.centre.y, 1.25 - at.y, 1e-12);
    EXPECT_NEAR(joint.centre.z, .05 - at.z, 1e-12);
    EXPECT_NEAR(joint.inertia.yy, mass * side * side / 6, 1e-9 * mass);
    EXPECT_NEAR(joint.inertia.xx, mass * (side * side + .5 * .5) / 12, 1e-9 * mass);
    EXPECT_EQ(joint.mass_origin, APLOMB_ORIGIN_SHAPE);
    EXPECT_STREQ(figure->mass_source, "from the skin, at one density") << remarks_of(*figure);
}

TEST(MeshMass, TheTotalIsWhatWasAskedFor) {
    Dressed d;
    const int32_t chest = d.joint("spine_3"), head = d.joint("head");
    d.skin.add_prism({0, 1, 0}, .2, .5, 7, {chest, chest});
    d.skin.add_prism({0, 1.5, 0}, .1, .2, 7, {head, head});
    const lay::FigureHandle figure = d.create(60);
    const double a = prism_volume(.2, .5, 7), b = prism_volume(.1, .2, 7);
    EXPECT_NEAR(figure->joints[chest].mass, 60 * a / (a + b), 1e-9);
    EXPECT_NEAR(figure->joints[head].mass, 60 * b / (a + b), 1e-9);
}

TEST(MeshMass, AnEllipsoidInTheLimit) {
    const double a = .11, b = .16, c = .09;
    double last = 1;
    for (const int fine : {12, 24, 48}) {
        Dressed d;
        const int32_t head = d.joint("head");
        d.skin.add_turned(
            fine - 1, 2 * fine, {0, 1.6 - b, 0}, {0, 1.6 + b, 0},
            [&](int r, int k) {
                const double polar = pi * (r + 1) / fine, angle = pi * k / fine;
                return Point{a * std::sin(polar) * std::sin(angle), 1.6 - b * std::cos(polar),
                             c * std::sin(polar) * std::cos(angle)};
            },
            [&](int) { return head; });
        const lay::FigureHandle figure = d.create();
        const Joint& joint = figure->joints[head];
        const double mass = water * 4 / 3 * pi * a * b * c;
        const double off = std::fabs(joint.mass / mass - 1);
        EXPECT_LT(off, 0.3 * last); // of second order
        EXPECT_NEAR(joint.inertia.xx / (joint.mass * (b * b + c * c) / 5), 1, 2 * off);
        last = off;
    }
    EXPECT_LT(last, 3e-3);
}

/// A column of three owners, and a second body whose triangles have three owners each.
Dressed column(double away) {
    Dressed d;
    const int32_t low = d.joint("spine_1"), middle = d.joint("spine_2"), high = d.joint("spine_3");
    d.skin.add_prism({0, 1, 0}, .2, .6, 9, {low, low, middle, middle, high});
    // A tetrahedron with one owner a corner: every triangle meets three.
    const int32_t head = d.joint("head");
    const int32_t p[4] = {d.skin.add({.3, 1, 0}, low), d.skin.add({.5, 1, 0}, middle),
                          d.skin.add({.4, 1, .2}, high), d.skin.add({.4, 1.3, .05}, head)};
    d.skin.add_triangle(p[0], p[1], p[2]);
    d.skin.add_triangle(p[0], p[3], p[1]);
    d.skin.add_triangle(p[1], p[3], p[2]);
    d.skin.add_triangle(p[2], p[3], p[0]);
    for (size_t i = 0; i < d.skin.positions.size(); i += 3)
        d.skin.positions[i] += away;
    d.figure.translations[0] += away;
    return d;
}

TEST(MeshMass, PiecesSumToTheWhole) {
    Dressed d = column(0);
    const lay::FigureHandle figure = d.create();
    const double tetrahedron = .2 * .2 * .3 / 6, prism = prism_volume(.2, .6, 9);
    double sum = 0;
    Vec3 moment;
    for (int32_t j = 0; j < figure->joint_count; ++j) {
        const Joint& joint = figure->joints[j];
        sum += joint.mass;
        const Point at = d.figure.position(j);
        moment += (Vec3{at.x, at.y, at.z} + joint.centre) * joint.mass;
    }
    EXPECT_NEAR(sum, water * (tetrahedron + prism), 1e-9 * sum);
    const Vec3 centre = moment / sum;
    const double part = tetrahedron / (tetrahedron + prism);
    EXPECT_NEAR(centre.x, part * .4, 1e-12);
    EXPECT_NEAR(centre.y, (1 - part) * 1.3 + part * (1 + .3 / 4), 1e-12);
    EXPECT_NEAR(centre.z, part * (.2 + .05) / 4, 1e-12);
    for (const char* name : {"spine_1", "spine_2", "spine_3", "head"})
        EXPECT_GT(figure->joints[d.joint(name)].mass, 0) << name;
    // The column's own cuts lie half way between rings of different owners.
    const double third = water * prism / .6;
    EXPECT_NEAR(figure->joints[d.joint("spine_1")].mass, third * .225, water * tetrahedron);
    EXPECT_NEAR(figure->joints[d.joint("spine_2")].mass, third * .3, water * tetrahedron);
}

TEST(MeshMass, NothingDependsOnTheOrigin) {
    Dressed here = column(0), far = column(1000);
    const lay::FigureHandle a = here.create(), b = far.create();
    for (int32_t j = 0; j < a->joint_count; ++j) {
        EXPECT_NEAR(a->joints[j].mass, b->joints[j].mass, 1e-9) << j;
        EXPECT_NEAR(norm(a->joints[j].centre - b->joints[j].centre), 0, 1e-9) << j;
        EXPECT_NEAR(a->joints[j].inertia.xx, b->joints[j].inertia.xx, 1e-9) << j;
    }
}

TEST(MeshMass, AHeavyTailIsTakenFromTheSkin) {
    // A body of two prisms, one of them the tail's; with the default table, which has no tails.
    const auto tail_mass = [](double radius) {
        Dressed d;
        LayFigure& f = d.figure;
        const int32_t tail = f.count();
        f.names.emplace_back("tail"), f.parents.push_back(d.joint("hips"));
        f.roles.push_back(APLOMB_ROLE_TAIL), f.sides.push_back(APLOMB_SIDE_MIDDLE);
        f.translations.insert(f.translations.end(), {0, 0, -.2}), f.tips.insert(f.tips.end(), {0, 0, -.8});
        const int32_t chest = d.joint("spine_3");
        d.skin.add_prism({0, 1, 0}, .2, .5, 8, {chest, chest});
        d.skin.add_prism({0, .5, -.5}, radius, .5, 8, {tail, tail});
        const aplomb_skin view = d.skin.view();
        aplomb_figure_desc desc = d.figure.desc();
        desc.skin = &view;
        const lay::FigureHandle figure = LayFigure::create_figure(desc);
        const bool said = remarks_of(*figure).find("the tail has 20 % of its volume") != std::string::npos;
        EXPECT_EQ(said, radius > .08);
        return figure->joints[tail].mass / figure->total_mass;
    };
    EXPECT_NEAR(tail_mass(.1), .2, 1e-6);
    EXPECT_NEAR(tail_mass(.04), .02, .001); // a cat's: common practice
}

TEST(MeshMass, AnOpenSkinIsSaidAndTheTableServes) {
    Dressed d;
    const int32_t chest = d.joint("spine_3");
    d.skin.add_prism({0, 1, 0}, .2, .5, 4, {chest, chest});
    d.skin.triangles.resize(d.skin.triangles.size() - 3);
    const lay::FigureHandle figure = d.create();
    EXPECT_NE(remarks_of(*figure).find("the skin is not closed; 3 edges have no partner, the first at joint"),
              std::string::npos)
        << remarks_of(*figure);
    EXPECT_GT(figure->joints[d.joint("left_thigh")].mass, 5);
}

TEST(MeshMass, ASkinThatIsInsideOutIsSaid) {
    Dressed d;
    const int32_t chest = d.joint("spine_3");
    d.skin.add_prism({0, 1, 0}, .2, .5, 4, {chest, chest});
    for (size_t i = 0; i < d.skin.triangles.size(); i += 3)
        std::swap(d.skin.triangles[i], d.skin.triangles[i + 1]);
    const lay::FigureHandle figure = d.create();
    EXPECT_NE(remarks_of(*figure).find("inside out"), std::string::npos) << remarks_of(*figure);
    EXPECT_GT(figure->joints[d.joint("left_thigh")].mass, 5);
}

TEST(MeshMass, WithoutASkinTheTableServes) {
    LayFigure figure = LayFigure::adult();
    figure.mass_table = APLOMB_MASS_SKIN;
    const lay::FigureHandle made = figure.create();
    EXPECT_NE(remarks_of(*made).find("Masses are from a table: there is no skin."), std::string::npos);
    EXPECT_GT(made->joints[figure.find("left_thigh")].mass, 5);
}

} // namespace
