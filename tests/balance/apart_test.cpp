// SPDX-License-Identifier: MIT
// A figure whose feet hang from the root in the file is corrected as the same figure whose feet hang from its
// shanks: every joint ends up at the same place, whether a foot bears, is held or rides along.
#include <gtest/gtest.h>

#include "balance/carries.h"

namespace own {
namespace {

/// The joints of `from` in another order and with feet on a root of their own.
struct Apart {
    lay::LayFigure figure;
    std::vector<size_t> from; // per joint: its index in the ordinary figure; the root has none
};

constexpr size_t none = static_cast<size_t>(-1);

Apart hang_feet_from_root(const lay::LayFigure& ordinary) {
    Apart apart{ordinary, {none}};
    const auto is_of_foot = [&](int32_t joint) {
        for (; joint >= 0; joint = ordinary.parents[static_cast<size_t>(joint)])
            if (ordinary.roles[static_cast<size_t>(joint)] == APLOMB_ROLE_FOOT) return true;
        return false;
    };
    for (const bool feet : {true, false})
        for (int32_t j = 0; j < ordinary.count(); ++j)
            if (is_of_foot(j) == feet) apart.from.push_back(static_cast<size_t>(j));

    lay::LayFigure& f = apart.figure;
    const size_t count = apart.from.size();
    f.names.assign(count, "root"), f.parents.assign(count, -1);
    f.roles.assign(count, APLOMB_ROLE_ROOT), f.sides.assign(count, APLOMB_SIDE_MIDDLE);
    f.translations.assign(3 * count, 0), f.tips.assign(3 * count, std::numeric_limits<double>::quiet_NaN());
    f.positions.assign(count, {});
    for (size_t i = 1; i < count; ++i) {
        const size_t j = apart.from[i];
        f.names[i] = ordinary.names[j], f.roles[i] = ordinary.roles[j], f.sides[i] = ordinary.sides[j];
        f.positions[i] = ordinary.positions[j];
        const int32_t above = ordinary.parents[j];
        const bool hangs_high = above < 0 || ordinary.roles[j] == APLOMB_ROLE_FOOT;
        f.parents[i] = 0;
        for (size_t k = 1; k < count && !hangs_high; ++k)
            if (apart.from[k] == static_cast<size_t>(above)) f.parents[i] = static_cast<int32_t>(k);
        const lay::Point way = f.positions[i] - f.positions[static_cast<size_t>(f.parents[i])];
        f.translations[3 * i] = way.x, f.translations[3 * i + 1] = way.y, f.translations[3 * i + 2] = way.z;
        for (size_t a = 0; a < 3; ++a)
            f.tips[3 * i + a] = ordinary.tips[3 * j + a];
    }
    for (size_t i = 1; i < count; ++i) { // a shank ends where its foot begins
        if (f.roles[i] != APLOMB_ROLE_FOOT) continue;
        const size_t shank = static_cast<size_t>(ordinary.parents[apart.from[i]]);
        for (size_t k = 1; k < count; ++k) {
            if (apart.from[k] != shank) continue;
            const lay::Point way = f.positions[i] - f.positions[k];
            f.tips[3 * k] = way.x, f.tips[3 * k + 1] = way.y, f.tips[3 * k + 2] = way.z;
        }
    }
    return apart;
}

/// The same pose for the figure with its feet apart.
Moment told_apart(const Character& ordinary, const Character& apart, const std::vector<size_t>& from,
                  const Moment& moment) {
    const World w = ordinary.bones.world(moment.translations.data(), moment.rotations.data());
    Moment result = moment;
    result.translations.assign(3 * from.size(), 0), result.rotations.assign(4 * from.size(), 0);
    for (size_t i = 0; i < from.size(); ++i) {
        const int32_t parent = apart.shape.parents[i];
        const size_t above = parent < 0 ? none : from[static_cast<size_t>(parent)];
        const Vector place = from[i] == none ? Vector::Zero() : w.place[from[i]];
        const Turn turn = from[i] == none ? Turn::Identity() : w.turn[from[i]];
        const Vector base = above == none ? Vector::Zero() : w.place[above];
        const Turn base_turn = above == none ? Turn::Identity() : w.turn[above];
        const Vector t = base_turn.conjugate() * (place - base);
        const Turn r = (base_turn.conjugate() * turn).normalized();
        for (size_t a = 0; a < 3; ++a)
            result.translations[3 * i + a] = t[static_cast<Eigen::Index>(a)];
        result.rotations[4 * i] = r.x(), result.rotations[4 * i + 1] = r.y();
        result.rotations[4 * i + 2] = r.z(), result.rotations[4 * i + 3] = r.w();
    }
    for (aplomb_load& load : result.loads)
        for (int32_t& holder : load.holder)
            for (size_t i = 1; i < from.size() && holder >= 0; ++i)
                if (from[i] == static_cast<size_t>(holder)) {
                    holder = static_cast<int32_t>(i);
                    break;
                }
    return result;
}

void expect_same_places(const Character& ordinary, const Moment& moment, const std::string& name) {
    Apart made = hang_feet_from_root(ordinary.shape);
    const Character apart(made.figure);
    ASSERT_NE(std::string(aplomb_figure_remark(apart.figure.get(), 0)).find("hangs from 'root'"),
              std::string::npos);
    ASSERT_EQ(apart.bones.limbs.size(), ordinary.bones.limbs.size());
    EXPECT_NEAR(apart.bones.info.total_mass, ordinary.bones.info.total_mass, 1e-9);
    const Answer a = balance(ordinary, moment);
    const Answer b = balance(apart, told_apart(ordinary, apart, made.from, moment));
    ASSERT_EQ(a.status, b.status) << name << ": " << b.error.message;
    EXPECT_NEAR(a.result.objective, b.result.objective, 1e-7 * (1 + a.result.objective)) << name;
    for (size_t i = 1; i < made.from.size(); ++i) {
        EXPECT_LT((b.world.place[i] - a.world.place[made.from[i]]).norm(), 1e-6)
            << name << ", " << made.figure.names[i];
        EXPECT_LT(b.world.turn[i].angularDistance(a.world.turn[made.from[i]]), 1e-6)
            << name << ", " << made.figure.names[i];
    }
}

TEST(FeetThatHangFromTheRoot, AreCorrectedAsTheirShanksOwn) {
    const Character adult(lay::LayFigure::adult());
    const double leg = adult.bones.info.leg_length;

    Moment box(stand(adult));
    box.loads = {load_on(adult, "spine_3", .25, .05, .1, .3 * leg)};
    expect_same_places(adult, box, "a box, both feet bearing");

    Moment lifted(lifted_left(adult, .2 * leg));
    lifted.loads = box.loads;
    lifted.contacts = on_right_foot(adult);
    expect_same_places(adult, lifted, "on the right foot, the other free");

    for (aplomb_contact& contact : lifted.contacts)
        if (contact.limb == adult.limb("left_foot")) contact.hold = APLOMB_HELD;
    expect_same_places(adult, lifted, "on the right foot, the other held");
    lifted.contacts.clear();
    expect_same_places(adult, lifted, "the stance that the pose shows");
}

TEST(FeetThatHangFromTheRoot, StayBitForBitWhereTheyBear) {
    Apart made = hang_feet_from_root(lay::LayFigure::adult());
    const Character apart(made.figure);
    Moment m(stand(apart));
    m.loads = {load_on(apart, "spine_3", .25, .05, .1, .3)};
    const Answer a = balance(apart, m);
    ASSERT_EQ(a.status, APLOMB_OK) << a.error.message;
    for (const char* name : {"left_foot", "right_foot"}) {
        const size_t foot = static_cast<size_t>(apart.find(name));
        for (size_t k = 0; k < 3; ++k)
            EXPECT_EQ(a.translations[3 * foot + k], m.translations[3 * foot + k]);
        for (size_t k = 0; k < 4; ++k)
            EXPECT_EQ(a.rotations[4 * foot + k], m.rotations[4 * foot + k]);
    }
}

} // namespace
} // namespace own
