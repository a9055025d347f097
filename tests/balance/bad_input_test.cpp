// SPDX-License-Identifier: MIT
// What aplomb_balance refuses: the status, the argument that is named, and outputs that stay untouched.
#include <gtest/gtest.h>

#include <cstdio>
#include <functional>
#include <limits>

#include "balance/carries.h"

namespace own {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN(),
                 infinite = std::numeric_limits<double>::infinity();
constexpr double untouched = 123.25;

/// A sound call, to be spoilt in one place.
class Call : public testing::Test {
protected:
    Call()
        : moment(stand(adult())), out_translations(moment.translations.size(), untouched),
          out_rotations(moment.rotations.size(), untouched) {
        moment.loads = {bucket(adult(), "right_hand", .2)};
        moment.contacts = {aplomb_contact_make(adult().limb("left_foot"), APLOMB_BEARING),
                           aplomb_contact_make(adult().limb("right_foot"), APLOMB_BEARING)};
        aplomb_result_init(&result, sizeof result);
        result.objective = untouched;
    }

    aplomb_status call() {
        const aplomb_situation s = moment.situation();
        return call(adult().solver.get(), &s, &moment.options, out_translations.data(), out_rotations.data(),
                    &result);
    }
    aplomb_status call(aplomb_solver* solver, const aplomb_situation* s, const aplomb_options* o, double* t,
                       double* r, aplomb_result* to) {
        error = {};
        return aplomb_balance(solver, s, o, t, r, to, &error);
    }
    void expect_nothing_written() const {
        for (const double v : out_translations)
            EXPECT_EQ(v, untouched);
        for (const double v : out_rotations)
            EXPECT_EQ(v, untouched);
        EXPECT_EQ(result.objective, untouched);
    }
    void expect_refused(aplomb_status got, aplomb_status should, const std::string& field) {
        EXPECT_EQ(got, should) << field << ": " << error.message;
        EXPECT_EQ(error.status, should);
        EXPECT_EQ(std::string(error.field), field);
        const std::string named = field == "contacts" ? "contact" : field;
        EXPECT_NE(std::string(error.message).find(named), std::string::npos) << error.message;
        expect_nothing_written();
    }
    void expect_value_named(const std::string& value) const {
        EXPECT_NE(std::string(error.message).find(value), std::string::npos) << error.message;
    }

    Moment moment;
    std::vector<double> out_translations, out_rotations;
    aplomb_result result;
    aplomb_error error{};
};

TEST_F(Call, IsSoundBeforeItIsSpoilt) {
    EXPECT_EQ(call(), APLOMB_OK) << error.message;
    EXPECT_NE(out_rotations[0], untouched);
}

TEST_F(Call, NamesWhatIsNull) {
    const aplomb_situation s = moment.situation();
    aplomb_solver* solver = adult().solver.get();
    double *t = out_translations.data(), *r = out_rotations.data();
    expect_refused(call(nullptr, &s, nullptr, t, r, &result), APLOMB_BAD_ARGUMENT, "solver");
    expect_refused(call(solver, nullptr, nullptr, t, r, &result), APLOMB_BAD_ARGUMENT, "situation");
    expect_refused(call(solver, &s, nullptr, nullptr, r, &result), APLOMB_BAD_ARGUMENT, "translations");
    expect_refused(call(solver, &s, nullptr, t, nullptr, &result), APLOMB_BAD_ARGUMENT, "rotations");
    aplomb_situation spoilt = s;
    spoilt.translations = nullptr;
    expect_refused(call(solver, &spoilt, nullptr, t, r, &result), APLOMB_BAD_ARGUMENT, "translations");
    spoilt = s, spoilt.rotations = nullptr;
    expect_refused(call(solver, &spoilt, nullptr, t, r, &result), APLOMB_BAD_ARGUMENT, "rotations");
    spoilt = s, spoilt.loads = nullptr;
    expect_refused(call(solver, &spoilt, nullptr, t, r, &result), APLOMB_BAD_ARGUMENT, "loads");
    spoilt = s, spoilt.pull_count = 1, spoilt.pulls = nullptr;
    expect_refused(call(solver, &spoilt, nullptr, t, r, &result), APLOMB_BAD_ARGUMENT, "pulls");
}

TEST_F(Call, WorksWithoutWhatMayBeNull) {
    const aplomb_situation s = moment.situation();
    EXPECT_EQ(aplomb_balance(adult().solver.get(), &s, nullptr, out_translations.data(), out_rotations.data(),
                             nullptr, nullptr),
              APLOMB_OK);
}

TEST_F(Call, RefusesStructsThatWereNotSetUp) {
    const aplomb_situation s = moment.situation();
    for (const uint32_t size : {0u, 3u, 100000u}) {
        aplomb_situation spoilt = s;
        spoilt.struct_size = size;
        expect_refused(call(adult().solver.get(), &spoilt, nullptr, out_translations.data(),
                            out_rotations.data(), &result),
                       APLOMB_WRONG_VERSION, "situation");
        Moment again = moment;
        moment.options.struct_size = size;
        expect_refused(call(), APLOMB_WRONG_VERSION, "options");
        moment = again;
        result.struct_size = size;
        expect_refused(call(), APLOMB_WRONG_VERSION, "result");
        result.struct_size = sizeof result;
    }
}

TEST_F(Call, RefusesAPoseThatIsNotFinite) {
    for (const double bad : {nan, infinite, -infinite, 1e300}) {
        moment.translations[4] = bad;
        expect_refused(call(), APLOMB_BAD_POSE, "translations");
        EXPECT_EQ(error.index, 1);
        moment.translations[4] = 0;
        moment.rotations[7] = bad;
        expect_refused(call(), APLOMB_BAD_POSE, "rotations");
        EXPECT_EQ(error.index, 1);
        moment.rotations[7] = 1;
    }
}

TEST_F(Call, RefusesARotationThatIsNotOfUnitLength) {
    for (const double scale : {0.0, 0.99, 1.01, 1.0002}) {
        const std::vector<double> keep = moment.rotations;
        for (size_t k = 12; k < 16; ++k)
            moment.rotations[k] *= scale;
        expect_refused(call(), APLOMB_BAD_POSE, "rotations");
        EXPECT_EQ(error.index, 3);
        moment.rotations = keep;
    }
    for (size_t k = 12; k < 16; ++k)
        moment.rotations[k] *= 1.00005;
    EXPECT_EQ(call(), APLOMB_OK) << error.message;
}

TEST_F(Call, NamesEveryBadOptionWithItsValue) {
    struct Spoilt {
        const char* name;
        double aplomb_options::*member;
        double low;
    };
    const Spoilt all[] = {{"amount", &aplomb_options::amount, -0.5},
                          {"rest", &aplomb_options::rest, -0.5},
                          {"margin", &aplomb_options::margin, -0.5},
                          {"hips_side", &aplomb_options::hips_side, 0},
                          {"hips_fore", &aplomb_options::hips_fore, 0},
                          {"hips_height", &aplomb_options::hips_height, 0},
                          {"hips_turn", &aplomb_options::hips_turn, 0},
                          {"trunk_fore", &aplomb_options::trunk_fore, 0},
                          {"trunk_side", &aplomb_options::trunk_side, 0},
                          {"trunk_twist", &aplomb_options::trunk_twist, 0},
                          {"neck", &aplomb_options::neck, -0.1},
                          {"heft", &aplomb_options::heft, -0.1},
                          {"give", &aplomb_options::give, 2.1},
                          {"hip_drop", &aplomb_options::hip_drop, 2.1},
                          {"free_arm", &aplomb_options::free_arm, -0.1},
                          {"knee_bend", &aplomb_options::knee_bend, 0},
                          {"knee_straighten", &aplomb_options::knee_straighten, 0},
                          {"swivel", &aplomb_options::swivel, 0},
                          {"aim", &aplomb_options::aim, 0},
                          {"max_trunk", &aplomb_options::max_trunk, 0},
                          {"max_hips", &aplomb_options::max_hips, 0}};
    for (const Spoilt& s : all) {
        for (const double bad : {s.low, nan, infinite, -1.5}) {
            const double keep = moment.options.*s.member;
            moment.options.*s.member = bad;
            expect_refused(call(), APLOMB_BAD_ARGUMENT, s.name);
            char value[32];
            std::snprintf(value, sizeof value, "%g", bad);
            expect_value_named(value);
            moment.options.*s.member = keep;
        }
    }
}

TEST_F(Call, NamesBadFlagsAndCounts) {
    moment.options.free = 4096;
    expect_refused(call(), APLOMB_BAD_ARGUMENT, "free");
    moment.options.free = APLOMB_FREE_DEFAULT;
    for (const int32_t bad : {0, -1, 100000}) {
        moment.options.max_iterations = bad;
        expect_refused(call(), APLOMB_BAD_ARGUMENT, "max_iterations");
        expect_value_named(std::to_string(bad));
    }
}

TEST_F(Call, NamesABadLoad) {
    const aplomb_load sound = moment.loads[0];
    const std::vector<std::function<void(aplomb_load&)>> ways = {
        [](aplomb_load& l) { l.mass = -1; },       [](aplomb_load& l) { l.mass = nan; },
        [](aplomb_load& l) { l.mass = infinite; }, [](aplomb_load& l) { l.holder[0] = -1; },
        [](aplomb_load& l) { l.holder[0] = 22; },  [](aplomb_load& l) { l.holder[1] = 1000; },
        [](aplomb_load& l) { l.offset[2] = nan; }, [](aplomb_load& l) { l.hang = -0.1; },
        [](aplomb_load& l) { l.level = 1.5; }};
    moment.loads.push_back(sound);
    for (const auto& spoil : ways) {
        moment.loads[1] = sound;
        spoil(moment.loads[1]);
        expect_refused(call(), APLOMB_BAD_ARGUMENT, "loads");
        EXPECT_EQ(error.index, 1);
    }
    moment.loads.assign(APLOMB_MAX_LOADS + 1, sound);
    expect_refused(call(), APLOMB_BAD_ARGUMENT, "loads");
}

TEST_F(Call, NamesABadContact) {
    const aplomb_contact sound = moment.contacts[1];
    const std::vector<std::function<void(aplomb_contact&)>> ways = {
        [](aplomb_contact& c) { c.limb = 99; },
        [](aplomb_contact& c) { c.limb = -2; },
        [](aplomb_contact& c) { c.hold = 3; },
        [](aplomb_contact& c) { c.footing = -1; },
        [](aplomb_contact& c) { c.bearing = 1.1; },
        [](aplomb_contact& c) { c.bearing = nan; },
        [](aplomb_contact& c) { c.share = 2; },
        [](aplomb_contact& c) { c.friction = -1; },
        [](aplomb_contact& c) { c.limb = -1, c.joint = 0, c.point_count = 4; }};
    for (const auto& spoil : ways) {
        moment.contacts[1] = sound;
        spoil(moment.contacts[1]);
        expect_refused(call(), APLOMB_BAD_ARGUMENT, "contacts");
        EXPECT_EQ(error.index, 1);
    }
    moment.contacts.assign(APLOMB_MAX_CONTACTS + 1, sound);
    expect_refused(call(), APLOMB_BAD_ARGUMENT, "contacts");
}

TEST_F(Call, NamesABadPull) {
    moment.pulls.resize(1);
    moment.pulls[0].joint = 22;
    expect_refused(call(), APLOMB_BAD_ARGUMENT, "pulls");
    moment.pulls[0].joint = 3, moment.pulls[0].force[0] = nan;
    expect_refused(call(), APLOMB_BAD_ARGUMENT, "pulls");
    moment.pulls[0].force[0] = 0, moment.pulls[0].point[1] = infinite;
    expect_refused(call(), APLOMB_BAD_ARGUMENT, "pulls");
}

TEST_F(Call, ReportsAFigureThatNothingBears) {
    for (aplomb_contact& c : moment.contacts)
        c.hold = APLOMB_FREE;
    expect_refused(call(), APLOMB_NO_SUPPORT, "contacts");
    for (aplomb_contact& c : moment.contacts)
        c.hold = APLOMB_BEARING, c.bearing = 0;
    expect_refused(call(), APLOMB_NO_SUPPORT, "contacts");
}

TEST_F(Call, ReportsAFigureThatDoesNotPressOnTheGround) {
    moment.gravity[1] = 9.8;
    expect_refused(call(), APLOMB_NO_SUPPORT, "gravity");
    moment.gravity[1] = nan;
    expect_refused(call(), APLOMB_BAD_ARGUMENT, "gravity");
    moment.gravity[1] = 0;
    moment.pulls.resize(1);
    moment.pulls[0].joint = 3, moment.pulls[0].force[1] = 5000;
    EXPECT_EQ(call(), APLOMB_NO_SUPPORT);
    expect_nothing_written();
}

} // namespace
} // namespace own
