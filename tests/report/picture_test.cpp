// SPDX-License-Identifier: MIT
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <memory>
#include <sstream>

#include "aplomb/files.h"
#include "figures.h"
#include "xml_check.h"

namespace {

namespace fs = std::filesystem;

std::string read_file(const fs::path& path) {
    std::ifstream file(path, std::ios::binary);
    std::ostringstream text;
    text << file.rdbuf();
    return text.str();
}

int count(const std::string& text, const std::string& part) {
    int found = 0;
    for (size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1))
        ++found;
    return found;
}

struct DestroySolver {
    void operator()(aplomb_solver* solver) const { aplomb_solver_destroy(solver); }
};

/// A figure with a pose, a situation and its reading, ready to be drawn.
class Scene {
public:
    explicit Scene(lay::LayFigure f) : figure_(f.create()), lay_(std::move(f)) { start(); }
    explicit Scene(lay::FigureHandle figure) : figure_(std::move(figure)), lay_(lay::LayFigure::adult()) {
        start();
    }

    void carry(double mass, double forward, int hanging = 0) {
        load_ = aplomb_load_make(mass,
                                 aplomb_figure_find_role(figure_.get(), APLOMB_ROLE_HAND, APLOMB_SIDE_LEFT));
        if (!hanging)
            load_.holder[1] = aplomb_figure_find_role(figure_.get(), APLOMB_ROLE_HAND, APLOMB_SIDE_RIGHT);
        load_.offset[2] = forward;
        load_.hanging = hanging;
        load_.hang = hanging ? 0.3 : 0;
        situation.loads = &load_;
        situation.load_count = 1;
        read();
    }
    void read() {
        aplomb_error error{};
        ASSERT_EQ(aplomb_read(solver_.get(), &situation, nullptr, reading.get(), &error), APLOMB_OK)
            << error.message;
    }
    aplomb_picture picture(bool after = true) {
        aplomb_picture p;
        aplomb_picture_init(&p, sizeof p);
        p.figure = figure_.get();
        p.situation = &situation;
        p.before = {translations.data(), rotations.data(), reading.get(), "keyed"};
        if (after) p.after = {translations.data(), rotations.data(), reading.get(), "corrected"};
        return p;
    }

    std::vector<double> translations, rotations;
    aplomb_situation situation;
    std::unique_ptr<aplomb_reading> reading = std::make_unique<aplomb_reading>();

private:
    void start() {
        const auto joints = static_cast<size_t>(aplomb_figure_joint_count(figure_.get()));
        translations.resize(3 * joints);
        rotations.resize(4 * joints);
        ASSERT_EQ(aplomb_figure_rest_pose(figure_.get(), translations.data(), rotations.data()), APLOMB_OK);
        aplomb_situation_init(&situation, sizeof situation);
        situation.translations = translations.data();
        situation.rotations = rotations.data();
        aplomb_reading_init(reading.get(), sizeof *reading);
        aplomb_solver* solver = nullptr;
        ASSERT_EQ(aplomb_solver_create(figure_.get(), nullptr, &solver, nullptr), APLOMB_OK);
        solver_.reset(solver);
        read();
    }
    lay::FigureHandle figure_;
    std::unique_ptr<aplomb_solver, DestroySolver> solver_;
    lay::LayFigure lay_;
    aplomb_load load_;
};

class Picture : public testing::Test {
protected:
    void SetUp() override {
        folder_ = fs::temp_directory_path() / ("aplomb_picture_" + std::to_string(getpid()));
        fs::create_directories(folder_);
    }
    void TearDown() override { fs::remove_all(folder_); }

    std::string path(const char* name = "picture.svg") const { return (folder_ / name).string(); }
    std::string draw(const aplomb_picture& picture) {
        aplomb_error error{};
        EXPECT_EQ(aplomb_picture_write(&picture, path().c_str(), &error), APLOMB_OK) << error.message;
        const std::string svg = read_file(path());
        EXPECT_EQ(xml::problem(svg), "");
        EXPECT_EQ(svg.find("nan"), std::string::npos);
        EXPECT_EQ(svg.find("inf"), std::string::npos);
        return svg;
    }
    fs::path folder_;
};

TEST_F(Picture, SaysAndColoursWhatTheDesignAsksFor) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(20, 0.2);
    aplomb_picture picture = scene.picture();
    picture.text = "Hips: 4.1 cm back";
    scene.reading->cue_count = 1;
    scene.reading->cues[0] = {1.0, "Leans 12 degrees away from the load"};
    const std::string svg = draw(picture);
    for (const char* part : {"#0072B2",
                             "#E69F00",
                             "#56B4E9",
                             "stroke-dasharray",
                             "BEFORE",
                             "AFTER",
                             "front",
                             "side",
                             "top",
                             "% bearing",
                             "held",
                             "free",
                             "20 kg",
                             "margin",
                             "lean of the trunk",
                             "home",
                             "cm",
                             "centre of mass",
                             "plumb line",
                             "support area",
                             "rest zone",
                             "Hips: 4.1 cm back",
                             "keyed-front",
                             "50 cm",
                             "AFTER: Leans 12 degrees away from the load (common practice)"})
        EXPECT_NE(svg.find(part), std::string::npos) << part;
}

TEST_F(Picture, TitleAndTextAreEscaped) {
    Scene scene(lay::LayFigure::adult());
    aplomb_picture picture = scene.picture();
    picture.title = "Box & <bucket> \"full\" \x02 caf\xC3\xA9 \xFF";
    picture.text = "a < b & c";
    picture.before.caption = "<before>";
    const std::string svg = draw(picture);
    EXPECT_NE(svg.find("Box &amp; &lt;bucket&gt; &quot;full&quot; \xEF\xBF\xBD caf\xC3\xA9 \xEF\xBF\xBD"),
              std::string::npos);
    EXPECT_NE(svg.find("a &lt; b &amp; c"), std::string::npos);
    EXPECT_NE(svg.find("&lt;before&gt;"), std::string::npos);
}

TEST_F(Picture, OutOfBalanceIsAHatchAWordAndAnArrow) {
    Scene scene(lay::LayFigure::adult());
    const std::string sound = draw(scene.picture());
    EXPECT_EQ(sound.find("OUT OF BALANCE"), std::string::npos);
    EXPECT_EQ(sound.find("marker-end"), std::string::npos);

    scene.carry(60, 0.5);
    ASSERT_EQ(scene.reading->in_balance, 0);
    const std::string svg = draw(scene.picture(false));
    EXPECT_EQ(count(svg, "OUT OF BALANCE"), 1);
    EXPECT_EQ(count(svg, "marker-end=\"url(#arrow-head)\""), 1);
    EXPECT_EQ(count(svg, "url(#out-of-balance)"), 4); // two bars, the area, the legend
    EXPECT_NE(svg.find("#D55E00"), std::string::npos);
}

TEST_F(Picture, BeforeAloneHasNoAfter) {
    Scene scene(lay::LayFigure::adult());
    const std::string both = draw(scene.picture()), one = draw(scene.picture(false));
    EXPECT_NE(both.find("id=\"after\""), std::string::npos);
    EXPECT_EQ(one.find("id=\"after\""), std::string::npos);
    EXPECT_EQ(one.find("keyed-"), std::string::npos);
    EXPECT_EQ(one.find("AFTER"), std::string::npos);
}

TEST_F(Picture, LinesAreDrawnOnlyWhenAskedFor) {
    Scene scene(lay::LayFigure::adult());
    aplomb_picture picture = scene.picture();
    EXPECT_EQ(draw(picture).find("line of action"), std::string::npos);
    picture.lines = 1;
    EXPECT_NE(draw(picture).find("line of action"), std::string::npos);
}

TEST_F(Picture, SideViewLooksFromTheSideOfTheLoad) {
    Scene scene(lay::LayFigure::adult());
    EXPECT_NE(draw(scene.picture()).find("from the right"), std::string::npos);
    scene.carry(15, 0, 1); // a bucket in the left hand
    EXPECT_NE(draw(scene.picture()).find("from the left"), std::string::npos);
}

TEST_F(Picture, OddFiguresAreDrawn) {
    for (const lay::LayFigure& figure :
         {lay::LayFigure::toddler(), lay::LayFigure::detailed(), lay::LayFigure::quadruped()}) {
        Scene scene(figure);
        aplomb_picture picture = scene.picture();
        picture.lines = 1;
        EXPECT_GT(draw(picture).size(), 20000u);
    }
    Scene dog(lay::LayFigure::quadruped());
    EXPECT_EQ(count(draw(dog.picture(false)), "% bearing<"), 4);
}

/// Hips, a head on them and two bare stilts.
lay::FigureHandle stilts() {
    static constexpr int32_t parents[] = {-1, 0, 0, 2, 3, 0, 5, 6};
    static constexpr double translations[] = {0, 1,   0, 0,   .4, 0, .1, 0,   0, 0, -.5, 0,
                                              0, -.5, 0, -.1, 0,  0, 0,  -.5, 0, 0, -.5, 0};
    static constexpr int32_t roles[] = {APLOMB_ROLE_HIPS,  APLOMB_ROLE_HEAD, APLOMB_ROLE_THIGH,
                                        APLOMB_ROLE_SHANK, APLOMB_ROLE_FOOT, APLOMB_ROLE_THIGH,
                                        APLOMB_ROLE_SHANK, APLOMB_ROLE_FOOT};
    aplomb_figure_desc desc;
    aplomb_figure_desc_init(&desc, sizeof desc);
    desc.joint_count = 8;
    desc.parents = parents;
    desc.translations = translations;
    desc.roles = roles;
    return lay::LayFigure::create_figure(desc);
}

TEST_F(Picture, AFigureWithoutHandsOrFeetIsDrawn) {
    Scene scene(stilts());
    aplomb_picture picture = scene.picture();
    picture.lines = 1;
    draw(picture);
}

TEST_F(Picture, TheOldFileStaysWhereTheNewCannotBeWritten) {
    Scene scene(lay::LayFigure::adult());
    const aplomb_picture picture = scene.picture();
    aplomb_error error{};
    // A folder of the file's name stands in the way of the rename, whoever runs the test.
    fs::create_directories(path("taken") + "/inside");
    EXPECT_EQ(aplomb_picture_write(&picture, path("taken").c_str(), &error), APLOMB_CANNOT_OPEN);
    EXPECT_NE(std::string(error.message).find("taken"), std::string::npos) << error.message;
    EXPECT_TRUE(fs::exists(path("taken") + "/inside"));
    EXPECT_FALSE(fs::exists(path("taken.new")));

    EXPECT_EQ(aplomb_picture_write(&picture, path("missing/p.svg").c_str(), &error), APLOMB_CANNOT_OPEN);
    EXPECT_NE(std::string(error.message).find("No such file or directory"), std::string::npos)
        << error.message;

    // A folder where the new file would be written: the old picture stays as it was, for root as well.
    std::ofstream(path("old.svg")) << "old";
    fs::create_directories(path("old.svg.new") + "/inside");
    EXPECT_EQ(aplomb_picture_write(&picture, path("old.svg").c_str(), &error), APLOMB_CANNOT_OPEN);
    EXPECT_STREQ(error.field, "path");
    EXPECT_EQ(read_file(path("old.svg")), "old");
}

TEST_F(Picture, AnUnwritableFolderIsNamed) {
    if (geteuid() == 0) GTEST_SKIP() << "SKIPPED: root may write anywhere; the test above covers the rest";
    Scene scene(lay::LayFigure::adult());
    const aplomb_picture picture = scene.picture();
    std::ofstream(path("old.svg")) << "old";
    chmod(folder_.c_str(), 0500);
    aplomb_error error{};
    EXPECT_EQ(aplomb_picture_write(&picture, path("old.svg").c_str(), &error), APLOMB_CANNOT_OPEN);
    chmod(folder_.c_str(), 0700);
    EXPECT_NE(std::string(error.message).find("Permission denied"), std::string::npos) << error.message;
    EXPECT_EQ(read_file(path("old.svg")), "old");
}

TEST_F(Picture, RefusesBadInputByName) {
    Scene scene(lay::LayFigure::adult());
    aplomb_error error{};
    EXPECT_EQ(aplomb_picture_write(nullptr, path().c_str(), &error), APLOMB_BAD_ARGUMENT);
    aplomb_picture picture = scene.picture();
    EXPECT_EQ(aplomb_picture_write(&picture, "", &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.field, "path");
    picture.struct_size = 3;
    EXPECT_EQ(aplomb_picture_write(&picture, path().c_str(), &error), APLOMB_WRONG_VERSION);
    picture = scene.picture();
    picture.before.reading = nullptr;
    EXPECT_EQ(aplomb_picture_write(&picture, path().c_str(), &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.field, "before");
    picture = scene.picture();
    scene.rotations[4 * 5] = 3;
    EXPECT_EQ(aplomb_picture_write(&picture, path().c_str(), &error), APLOMB_BAD_POSE);
    EXPECT_EQ(error.index, 5);
    scene.translations[7] = std::numeric_limits<double>::infinity();
    EXPECT_EQ(aplomb_picture_write(&picture, path().c_str(), &error), APLOMB_BAD_POSE);
    EXPECT_EQ(error.index, 7);
    EXPECT_FALSE(fs::exists(path()));
}

} // namespace
