// SPDX-License-Identifier: MIT
// Numbers that are finite but past anything a scene holds, results that were not the library's, and files that
// ask for more than they hold.
#include <gtest/gtest.h>

#include <cstdlib>
#include <cstring>
#include <functional>
#include <limits>

#include "hostile/told.h"
#include "reading/scene.h"

namespace hostile {
namespace {

using lay::LayFigure;
using lay::Scene;

constexpr double infinite = std::numeric_limits<double>::infinity();

// ---- A moment ------------------------------------------------------------------------------------------

struct Moment {
    const char* told;
    std::function<void(Scene&)> spoil;
};

void pull(Scene& scene, double point, double force) {
    aplomb_pull pull{};
    pull.joint = 3, pull.point[1] = point, pull.force[0] = force;
    scene.pulls.push_back(pull);
}

const double far_patch[9] = {-.1, 0, -.1, .1, 0, -.1, 0, 0, 1e200};

const Moment moments[] = {
    {"ok: ", [](Scene&) {}},
    {"bad argument: loads[0].offset[2] is 1e+200; it must be -1e+09 to 1e+09.",
     [](Scene& s) { s.loads[0].offset[2] = 1e200; }},
    {"bad argument: loads[0].hang is 1.7e+308; it must be 0 to 1e+09.",
     [](Scene& s) { s.loads[0].hang = 1.7e308; }},
    {"bad argument: loads[0].hanging is 2; it must be 0 to 1.", [](Scene& s) { s.loads[0].hanging = 2; }},
    {"bad argument: loads[0].hang is 0.35, but hanging is 0; set hanging to 1, or hang to 0.",
     [](Scene& s) { s.loads[0].hang = 0.35; }},
    {"bad argument: pulls[0].point[1] is 1e+10; it must be -1e+09 to 1e+09.",
     [](Scene& s) { pull(s, 1e10, 1); }},
    {"bad argument: pulls[0].force[0] is 1e+200; it must be -1e+20 to 1e+20.",
     [](Scene& s) { pull(s, 0, 1e200); }},
    {"no support: The figure hardly presses on the ground: its balance point is 1.51427e+17 m away; at most "
     "500 m are allowed. Lessen the pulls, or check the figure's unit.",
     [](Scene& s) { pull(s, 0, 1e20); }},
    {"bad argument: gravity[1] is -1e+300; it must be -1e+20 to 1e+20.",
     [](Scene& s) { s.situation.gravity[1] = -1e300; }},
    {"bad argument: ground_normal[1] is 1e+200; it must be -1e+20 to 1e+20.",
     [](Scene& s) { s.situation.ground_normal[1] = 1e200; }},
    {"bad argument: pulls[0].joint is -1; it must be 0 to 21.",
     [](Scene& s) {
         pull(s, 0, 1);
         s.pulls[0].joint = -1;
     }},
    {"bad argument: loads[0].holder[0] is -1; it must be 0 to 21.",
     [](Scene& s) { s.loads[0].holder[0] = -1; }}, // a hand that was looked for and not found
    {"bad argument: loads[0].holder[1] is 22; it must be -1 to 21.",
     [](Scene& s) { s.loads[0].holder[1] = 22; }},
    {"bad argument: contacts[0].points is 1e+200; it must be -1e+09 to 1e+09.",
     [](Scene& s) {
         s.patch({far_patch, far_patch + 9});
         s.contacts[0].points = far_patch;
     }},
};

TEST(HostileBeyond, Moments) {
    for (const Moment& m : moments) {
        Scene scene;
        scene.loads.push_back(aplomb_load_make(10, scene.lay.find("right_hand")));
        m.spoil(scene);
        scene.fill();
        std::vector<double> translations(scene.translations), rotations(scene.rotations);
        aplomb_error error{};
        const aplomb_status status = aplomb_balance(scene.solver.get(), &scene.situation, nullptr,
                                                    translations.data(), rotations.data(), nullptr, &error);
        EXPECT_EQ(told(status, error), m.told);
    }
}

TEST(HostileBeyond, ARememberedState) {
    Scene scene;
    scene.fill();
    std::vector<double> translations(66), rotations(88);
    aplomb_frame frame;
    aplomb_frame_init(&frame, sizeof frame);
    aplomb_step_state state{};
    aplomb_error error{};
    const auto step = [&] {
        const aplomb_status status =
            aplomb_step(scene.solver.get(), &state, &scene.situation, nullptr, nullptr, &frame,
                        translations.data(), rotations.data(), nullptr, &error);
        return told(status, error);
    };
    ASSERT_EQ(step().rfind("bad", 0), std::string::npos);
    const double kept = state.numbers[2];
    state.numbers[2] = -1e300;
    EXPECT_EQ(step(), "bad argument: state.numbers[2] is -1e+300, which no step leaves.");
    state.numbers[2] = 1e4; // metres of the hips' shift
    EXPECT_EQ(step(), "bad argument: state.numbers[2] is 10000, which no step leaves.");
    state.numbers[2] = std::nan("");
    EXPECT_EQ(step(), "bad argument: state.numbers[2] is nan, which no step leaves.");
    state.numbers[2] = kept;
    state.version = 7;
    EXPECT_EQ(step(),
              "wrong version: state.version is 7; this library knows 3. Zero the state to start anew.");
}

/// Whatever time is told to have passed, and however fast: only numbers come out, and what is remembered is taken again.
TEST(HostileBeyond, AFrameOfNoTimeOrOfDays) {
    Scene scene;
    scene.fill();
    std::vector<double> translations(66), rotations(88), keyed = scene.translations;
    scene.situation.translations = keyed.data();
    aplomb_step_state state{};
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    for (const double seconds : {0.04, 1e-300, 1e-7, 1e-6, 1e6, 0.0, 0.04, 1e-300, 1e6, 0.04}) {
        for (const double velocity : {0.0, 1e6, -1e6}) {
            aplomb_frame frame;
            aplomb_frame_init(&frame, sizeof frame);
            frame.seconds = seconds, frame.velocity[0] = velocity;
            frame.ahead_translations = keyed.data(), frame.ahead_rotations = scene.rotations.data();
            frame.ahead_seconds = seconds > 0 && seconds < 1 ? seconds : 1;
            keyed[0] += 0.05;
            aplomb_error error{};
            EXPECT_GE(aplomb_step(scene.solver.get(), &state, &scene.situation, nullptr, nullptr, &frame,
                                  translations.data(), rotations.data(), &result, &error),
                      0)
                << error.message << seconds;
            for (const double value : rotations)
                ASSERT_TRUE(std::isfinite(value)) << seconds;
            for (const double value : {result.home[0], result.rest_point[0], result.margin_after, result.lag,
                                       result.moved[0], result.trust})
                EXPECT_TRUE(std::isfinite(value)) << seconds;
        }
    }
}

TEST(HostileBeyond, ARestPoint) {
    Scene scene;
    scene.fill();
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    result.rest_point[0] = 1e300;
    aplomb_error error{};
    const aplomb_status status =
        aplomb_read_corrected(scene.solver.get(), &scene.situation, nullptr, scene.translations.data(),
                              scene.rotations.data(), &result, &reading, &error);
    EXPECT_EQ(told(status, error), "bad argument: result.rest_point[0] is 1e+300, beyond 1e+12.");
}

// ---- A result that was not the library's ---------------------------------------------------------------

class Explained : public testing::Test {
protected:
    Explained() {
        aplomb_result_init(&result, sizeof result);
        result.status = APLOMB_OK, result.changed = 1;
    }
    std::string text() const {
        char buffer[2000];
        const int32_t length = aplomb_explain(scene.figure.get(), &result, buffer, sizeof buffer);
        EXPECT_EQ(static_cast<size_t>(length), std::strlen(buffer));
        return buffer;
    }
    Scene scene;
    aplomb_result result;
};

TEST_F(Explained, CountsAndNamesAreNotTrusted) {
    result.hold_back_count = 100000;
    std::memset(result.hold_backs, 'x', sizeof result.hold_backs);
    std::string all;
    for (int i = 0; i < APLOMB_MAX_HOLD_BACKS; ++i)
        all += "Held back by: " + std::string(72, 'x') + "\n";
    EXPECT_EQ(text(), all);
}

TEST_F(Explained, TurnsThatAreNone) {
    result.controls.chest[0] = infinite, result.controls.hips_turn[1] = 1e300;
    EXPECT_NE(text().find("Spine bends forward inf degrees"), std::string::npos);
}

TEST_F(Explained, AShortOrUnsetStructIsNotReadPastItsEnd) {
    for (const uint32_t size : {64u, 0u}) {
        const std::unique_ptr<void, decltype(&std::free)> memory(std::calloc(1, 64), &std::free);
        auto* shorter = static_cast<aplomb_result*>(memory.get());
        shorter->struct_size = size, shorter->changed = 1;
        char buffer[100];
        EXPECT_EQ(aplomb_explain(scene.figure.get(), shorter, buffer, sizeof buffer), 0);
    }
}

// ---- Arrays and descriptions -----------------------------------------------------------------------------

TEST(HostileBeyond, Strides) {
    const float source[12] = {};
    double target[12];
    aplomb_error error{};
    EXPECT_EQ(
        told(
            aplomb_gather(source, APLOMB_FLOAT, std::numeric_limits<size_t>::max() / 2, 3, 4, target, &error),
            error),
        "bad argument: stride is 9223372036854775807 bytes; 4 items that far apart do not fit into memory.");
}

TEST(HostileBeyond, ATowerOfScales) {
    const Scene scene;
    std::vector<double> matrices(static_cast<size_t>(16 * scene.lay.count()), 0.0);
    for (size_t i = 0; i < matrices.size(); i += 16) {
        matrices[i] = matrices[i + 5] = matrices[i + 10] = matrices[i + 12] = 9e8;
        matrices[i + 15] = 1;
    }
    std::vector<double> translations(scene.translations), rotations(scene.rotations);
    aplomb_error error{};
    const aplomb_status status =
        aplomb_pose_from_matrices(scene.figure.get(), matrices.data(), APLOMB_DOUBLE, 128, APLOMB_LOCAL,
                                  translations.data(), rotations.data(), &error);
    EXPECT_EQ(told(status, error),
              "bad pose: matrices of joint 1 (spine_1): the scales above it come to 9e+08, "
              "which puts it beyond 1e+09.");
}

TEST(HostileBeyond, NamesAndLimits) {
    const auto made = [](LayFigure figure, const double* limits) {
        aplomb_figure_desc desc = figure.desc();
        desc.limits = limits;
        aplomb_figure* result = nullptr;
        aplomb_error error{};
        const aplomb_status status = aplomb_figure_create(&desc, nullptr, &result, &error);
        aplomb_figure_destroy(result);
        return told(status, error);
    };
    LayFigure figure = LayFigure::adult();
    figure.names[2] = "\xFF\xFE";
    EXPECT_EQ(made(figure, nullptr), "bad argument: names of joint 2 is not UTF-8.");
    figure = LayFigure::adult();
    const std::vector<double> limits(static_cast<size_t>(6 * figure.count()), infinite);
    EXPECT_EQ(made(figure, limits.data()),
              "bad figure: limits of joint 0 (hips), bend forward: from inf to inf no pose is left.");
}

// ---- Files -------------------------------------------------------------------------------------------------

using made::Gltf;
using Json = aplomb::io::Json;

std::string with_buffer(const char* uri) {
    Gltf file = made::lay_figure();
    file.track(0, 3, "rotation", {0, 1}, {0, 0, 0, 1, 0, 0, 0, 1});
    file.json["buffers"].push_back({{"byteLength", 4}, {"uri", uri}});
    return opened("c.gltf", file.text());
}

TEST(HostileBeyond, BuffersOutsideTheFolder) {
    EXPECT_EQ(with_buffer("%2Fetc%2Fhostname"),
              "bad file: 'c.gltf': buffer 0 lies at '%2Fetc%2Fhostname': only "
              "relative paths and data: URIs are read.");
    EXPECT_EQ(with_buffer("a%00b"),
              "bad file: 'c.gltf': buffer 0 lies at 'a%00b': only relative paths and data: URIs are read.");
    EXPECT_EQ(with_buffer("%FF%FE"), "cannot open: cannot read '\?\?': No such file or directory.");
}

/// A .glb that is sound to read, since nothing in it needs the buffer.
std::string written_again(const Json& buffer) {
    Gltf file = made::lay_figure();
    file.json["animations"] = Json::array({{{"channels", Json::array()}, {"samplers", Json::array()}}});
    file.json["buffers"].push_back(buffer);
    file.bytes = "abcd";
    const made::Folder folder;
    made::write(folder / "c.glb", file.glb());
    aplomb_character* character = nullptr;
    aplomb_error error{};
    if (const auto s = aplomb_character_open((folder / "c.glb").c_str(), nullptr, &character, &error))
        return told_in(folder, s, error);
    std::vector<double> translations(51), rotations(68);
    aplomb_character_pose(character, 0, 0, translations.data(), rotations.data(), nullptr);
    translations[1] += 1;
    const aplomb_status status = aplomb_character_write(character, 0, 0, translations.data(),
                                                        rotations.data(), (folder / "d.glb").c_str(), &error);
    aplomb_character_close(character);
    return told_in(folder, status, error);
}

TEST(HostileBeyond, ABufferLengthIsCheckedBeforeItIsWrittenTo) {
    EXPECT_EQ(written_again({{"byteLength", 4}}), "ok: ");
    EXPECT_EQ(written_again(Json::object()), "bad file: 'd.glb': buffer 0: 'byteLength' is missing.");
    EXPECT_EQ(written_again({{"byteLength", 1099511627776}}),
              "bad file: 'd.glb': buffer 0: 'byteLength' is 1099511627776; it must be below 5.");
}

// Sizes at which work that grows with the square would not come to an end.
TEST(HostileBeyond, LongChainsAndNames) {
    Gltf file = made::lay_figure();
    file.json["cameras"] = Json::array({{{"type", "perspective"}, {"perspective", {{"yfov", 1}}}}});
    for (int i = 0, parent = -1; i < 30000; ++i)
        parent = file.node("", parent, {{"camera", 0}});
    EXPECT_EQ(opened("c.gltf", file.text()), "opened");
    file = made::lay_figure();
    for (std::size_t i = 1; i < 18; ++i)
        file.json["nodes"][i]["name"] = std::string(100000, static_cast<char>('a' + i));
    const std::string wished(100000, 'z');
    const std::string text = R"({"aplomb_figure": 1, "joints": {")" + wished + R"(": {}}})";
    EXPECT_EQ(opened("c.gltf", file.text(), text).substr(0, 63),
              "bad file: 'c.gltf.figure.json': 'joints': no joint is called 'z");
}

TEST(HostileBeyond, TwiceInADescription) {
    const std::string file = made::lay_figure().text();
    EXPECT_EQ(
        opened("c.gltf", file, R"({"aplomb_figure": 1, "total_mass": 70, "total_mass": 80})"),
        "bad file: 'c.gltf.figure.json': the description: the key 'total_mass' stands twice in one object.");
    EXPECT_EQ(opened("c.gltf", file, R"({"aplomb_figure": 1, "joints": {"Hips": {}, "#0": {}}})"),
              "bad file: 'c.gltf.figure.json': 'joints': joint #0 is described twice.");
}

std::string bvh_with(const std::string& from, const std::string& to) {
    std::string text = made::lay_figure_bvh();
    return opened("c.bvh", text.replace(text.find(from), from.size(), to));
}

TEST(HostileBeyond, BvhNumbers) {
    EXPECT_EQ(bvh_with("-5.000000", "1e300"), "bad file: 'c.bvh': line 110: '1e300' is no angle in degrees.");
    EXPECT_EQ(bvh_with("0 92.0 0", "0 1e308 0"), "bad file: 'c.bvh': line 110: '1e308' is too far away.");
    EXPECT_EQ(bvh_with("Frame Time: 0.5", "Frame Time: 1e308"),
              "bad file: 'c.bvh': line 109: the frame time is 1e308 seconds, more than a day.");
}

TEST(HostileBeyond, AJointThatIsNotWhole) {
    Gltf file = made::lay_figure();
    const int positions = file.floats("VEC3", {0, 0, 0, 1, 0, 0, 0, 1, 0});
    const int joints = file.floats("VEC4", {.5f, 0, 0, 0, 1, 0, 0, 0, 2, 0, 0, 0});
    const int weights = file.floats("VEC4", {1, 0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0});
    const Json attributes = {{"POSITION", positions}, {"JOINTS_0", joints}, {"WEIGHTS_0", weights}};
    file.json["meshes"] = Json::array({{{"primitives", Json::array({{{"attributes", attributes}}})}}});
    file.node("skinned", -1, {{"mesh", 0}, {"skin", 0}});
    const made::Folder folder;
    made::write(folder / "c.gltf", file.text());
    aplomb_character* character = nullptr;
    ASSERT_EQ(aplomb_character_open((folder / "c.gltf").c_str(), nullptr, &character, nullptr), APLOMB_OK);
    EXPECT_STREQ(
        aplomb_character_remark(character, 0),
        "Of mesh 0 primitive 0 1 of 3 vertices are left out with their triangles; the first, vertex 0, has "
        "joint 0.5 of 17.");
    aplomb_character_close(character);
}

TEST(HostileBeyond, AxesOfTheOptions) {
    aplomb_character_options options;
    aplomb_character_options_init(&options, sizeof options);
    options.up_axis = std::numeric_limits<int32_t>::min();
    aplomb_character* character = nullptr;
    aplomb_error error{};
    EXPECT_EQ(
        told(aplomb_character_open("c.glb", &options, &character, &error), error),
        "bad argument: 'c.glb': up_axis is -2147483648; it must be an aplomb_axis, or 0 for the file's own.");
}

} // namespace
} // namespace hostile
