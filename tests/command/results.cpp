// SPDX-License-Identifier: MIT
// What the command prints and writes, and its exit status.
#include <cmath>

#include "command.h"
#include "printed_json.h"

namespace command {
namespace {

using aplomb::Json;
using Printed = CommandTest;
using Written = CommandTest;

const char* const honey_box = "beekeeper.bvh --frame 0 --load 22kg,hands ";
const char* const bucket = "beekeeper.bvh --frame 1 --load 15kg,right-hand,hang=0.35 ";

bool contains(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

TEST_F(Printed, HelpShowsExamples) {
    for (const char* name : {"inspect", "read", "balance"}) {
        const Outcome help = run(std::string(name) + " --help");
        EXPECT_EQ(help.status, 0);
        EXPECT_TRUE(contains(help.out, std::string("aplomb ") + name + " beekeeper.bvh")) << help.out;
        EXPECT_TRUE(contains(help.out, "Exit status")) << help.out;
    }
    EXPECT_EQ(run("--help").status, 0);
    for (const char* words : {"--version", "balance --version"})
        EXPECT_TRUE(contains(run(words).out, "aplomb 0.")) << words;
}

TEST_F(Printed, InspectNamesOriginsAndClips) {
    const Outcome text = run("inspect beekeeper.bvh");
    EXPECT_EQ(text.status, 0) << text.err;
    for (const char* part :
         {"22 joints", "right thigh", "published", "from memory", "left-foot", "motion", "3 frames"})
        EXPECT_TRUE(contains(text.out, part)) << part << " in\n" << text.out;
}

TEST_F(Printed, InspectTellsHowTheFileWasUnderstood) {
    const std::string text = run("inspect beekeeper.bvh").out;
    for (const char* part : {"up           Y     from the shape", "facing       Z     from the shape",
                             "unit         1 m   from the shape", "measured in  rest"})
        EXPECT_TRUE(contains(text, part)) << part << " in\n" << text;
    const Json json =
        Json::parse(run("inspect beekeeper.bvh --json --facing=-z --unit 0.5 --stand motion:1").out);
    const Json& understood = json["understood"];
    EXPECT_EQ(understood["up"]["value"], "y");
    EXPECT_EQ(understood["up"]["source"], "from the shape");
    EXPECT_EQ(understood["facing"]["value"], "-z");
    EXPECT_EQ(understood["facing"]["source"], "given");
    EXPECT_EQ(understood["unit"]["value"], 0.5);
    EXPECT_EQ(understood["stand"]["value"], Json({{"clip", "motion"}, {"seconds", 1.0}}));
    EXPECT_EQ(Json::parse(run("read beekeeper.bvh --json").out)["understood"]["stand"]["value"], nullptr);
}

/// Legs and a trunk, and two clips that leave a hand-less figure where it is. Accessors without bytes are zeros.
std::string two_clips() {
    Json nodes = Json::array(), joints = Json::array();
    const auto add = [&](const char* name, int parent, const std::vector<double>& place) {
        joints.push_back(nodes.size());
        nodes.push_back({{"name", name}, {"translation", place}});
        if (parent >= 0) nodes[static_cast<size_t>(parent)]["children"].push_back(nodes.size() - 1);
        return static_cast<int>(nodes.size()) - 1;
    };
    add("Root", -1, {0, 0, 0});
    add("Hips", 0, {0, .9, 0});
    add("Head", add("Spine", 1, {0, .1, 0}), {0, .5, 0});
    for (const char* side : {"Left", "Right"}) {
        const double x = side[0] == 'L' ? .1 : -.1;
        const int thigh = add((std::string(side) + "Thigh").c_str(), 1, {x, 0, 0});
        const int foot = add((std::string(side) + "Foot").c_str(),
                             add((std::string(side) + "Shank").c_str(), thigh, {0, -.4, 0}), {0, -.4, 0});
        add((std::string(side) + "Toes").c_str(), foot, {0, -.06, .13});
    }
    const auto clip = [](const char* name) {
        return Json{{"name", name},
                    {"channels", {{{"sampler", 0}, {"target", {{"node", 0}, {"path", "translation"}}}}}},
                    {"samplers", {{{"input", 0}, {"output", 1}}}}};
    };
    return Json{{"asset", {{"version", "2.0"}}},
                {"nodes", nodes},
                {"skins", {{{"joints", joints}}}},
                {"accessors",
                 {{{"componentType", 5126}, {"count", 1}, {"type", "SCALAR"}},
                  {{"componentType", 5126}, {"count", 1}, {"type", "VEC3"}}}},
                {"animations", {clip("walk"), clip("wave")}}}
        .dump();
}

/// What may be misunderstood in a file is said on standard error by every command, and in JSON.
TEST_F(Printed, RemarksOnTheFile) {
    Json file = Json::parse(two_clips());
    file["nodes"][0]["rotation"] = {0, 1, 0, 0};
    write(folder / "back.gltf", file.dump());
    const std::string told =
        "The figure faces -Z, not Z as the glTF standard has it: feet and the names' left and "
        "right say so; --facing says otherwise.";
    for (const char* name : {"inspect", "read", "balance"}) {
        const Outcome outcome = run(std::string(name) + " back.gltf");
        EXPECT_EQ(outcome.err, "aplomb: back.gltf: " + told + "\n") << name;
        EXPECT_EQ(run(std::string(name) + " back.gltf --facing=-z").err, "") << name;
    }
    EXPECT_TRUE(contains(run("inspect back.gltf").out, told)) << run("inspect back.gltf").out;
    const Json json = Json::parse(run("inspect back.gltf --json").out);
    EXPECT_EQ(json["remarks"][0].get<std::string>().substr(0, 20), told.substr(0, 20));
}

// Which of several clips was taken, where none was named.
TEST_F(Printed, TheMomentThatWasTaken) {
    write(folder / "two.gltf", two_clips());
    for (const char* name : {"read", "balance"}) {
        const std::string told = "clip 'walk', frame 0 (0.000 s): the first of 2 clips, as --clip names none";
        EXPECT_TRUE(contains(run(std::string(name) + " two.gltf").out, told))
            << run(std::string(name) + " two.gltf").out;
        const Json json = Json::parse(run(std::string(name) + " two.gltf --json").out);
        EXPECT_EQ(json["moment"], told);
        EXPECT_FALSE(contains(run(std::string(name) + " two.gltf --clip wave").out, "names none"));
        EXPECT_FALSE(contains(run(std::string(name) + " beekeeper.bvh").out, "names none"));
    }
    EXPECT_TRUE(contains(run("inspect two.gltf").out, "without --clip")) << run("inspect two.gltf").out;
}

TEST_F(Printed, InspectJson) {
    const Json json = Json::parse(run("inspect beekeeper.bvh --json --mass 82").out);
    EXPECT_EQ(json["joints"].size(), 22u);
    EXPECT_EQ(json["limbs"].size(), 4u);
    EXPECT_EQ(json["clips"][0]["key_times"], Json({0.0, 1.0, 2.0}));
    double mass = 0;
    for (const Json& joint : json["joints"])
        mass += joint["mass_kg"].get<double>();
    EXPECT_NEAR(mass, 82, 1e-9);
}

TEST_F(Printed, ReadTellsBalanceByItsStatus) {
    EXPECT_EQ(run("read beekeeper.bvh").status, 0);
    const Outcome lifted = run("read beekeeper.bvh --frame 2"); // one foot, hips still in the middle
    EXPECT_EQ(lifted.status, 1) << lifted.err;
    EXPECT_TRUE(contains(lifted.out, "out of balance")) << lifted.out;
    EXPECT_TRUE(contains(lifted.out, "to the left")) << lifted.out;
    EXPECT_TRUE(contains(lifted.out, "held")) << lifted.out;
}

TEST_F(Printed, ReadJson) {
    const Outcome outcome = run("read " + std::string(bucket) + "--json");
    const Json json = Json::parse(outcome.out);
    const Json& reading = json["reading"];
    EXPECT_EQ(reading["in_balance"].get<bool>(), outcome.status == 0);
    EXPECT_GE(reading["support_area"].size(), 3u);
    EXPECT_NEAR(reading["total_mass_kg"].get<double>(), json["figure"]["mass_kg"].get<double>() + 15, 1e-9);
    double shares = 0;
    for (const Json& contact : reading["contacts"])
        shares += contact["share"].get<double>();
    EXPECT_NEAR(shares, 1, 1e-9);
}

TEST_F(Printed, LoadsArePlacedAsWritten) {
    const auto centre = [&](const std::string& load) {
        const Json json = Json::parse(run("read beekeeper.bvh --json --load " + load).out);
        return json["reading"]["loads"][0]["centre"].get<std::vector<double>>();
    };
    const auto left = centre("5kg,left-hand"), right = centre("5kg,right-hand"), both = centre("5kg,hands");
    const auto moved = centre("5kg,hands,left=0.1,down=0.2,forward=0.3"),
               hung = centre("5kg,hands,hang=0.35");
    const double offset[3] = {0.1, -0.2, 0.3}; // the file: metres, x left, y up, z forward
    for (size_t i = 0; i < 3; ++i) {
        EXPECT_NEAR(both[i], (left[i] + right[i]) / 2, 1e-9);
        EXPECT_NEAR(moved[i] - both[i], offset[i], 1e-6);
        EXPECT_NEAR(hung[i] - both[i], i == 1 ? -0.35 : 0, 1e-9);
    }
    const Json part = Json::parse(run("read beekeeper.bvh --json --mass 80 --load 25%,back,behind=0.2").out);
    EXPECT_NEAR(part["loads"][0]["mass_kg"].get<double>(), 20, 1e-12);
}

TEST_F(Printed, OffsetsAreMetresInAnyUnit) {
    const auto centre = [&](const std::string& options) {
        const Json json = Json::parse(run("read beekeeper.bvh --json " + options).out);
        return json["reading"]["loads"][0]["centre"][2].get<double>();
    };
    const double doubled =
        centre("--unit 2 --load 1kg,back,forward=0.5") - centre("--unit 2 --load 1kg,back");
    EXPECT_NEAR(doubled, 0.25, 1e-6);
}

TEST_F(Printed, BalanceSinksUnderAHoneyBoxAndLeansBack) {
    const Outcome text = run("balance " + std::string(honey_box));
    EXPECT_EQ(text.status, 0) << text.err;
    EXPECT_EQ(files_written(), 0u);
    const Outcome outcome = run("balance --json " + std::string(honey_box));
    const Json json = Json::parse(outcome.out);
    EXPECT_EQ(json["status"], "ok");
    EXPECT_LT(json["result"]["controls"]["hips_shift"][1].get<double>(), -0.004);
    EXPECT_LT(json["result"]["controls"]["chest"][0].get<double>(), -0.1);
    const Json least = Json::parse(run("balance --json --option heft=0 " + std::string(honey_box)).out);
    EXPECT_LT(least["result"]["controls"]["hips_shift"][2].get<double>(),
              -0.01); // hips back, and the knees stay
    EXPECT_TRUE(json["corrected"]["in_balance"].get<bool>());
    EXPECT_FALSE(json["explanation"].get<std::string>().empty());
}

TEST_F(Printed, EveryJsonHasRemarksAndVersion) {
    for (const char* words : {"inspect", "read", "balance"}) {
        const Json json = Json::parse(run(std::string(words) + " beekeeper.bvh --json").out);
        EXPECT_EQ(json["aplomb"], "0.1.0") << words;
        ASSERT_EQ(json["remarks"].size(), 3u) << words;
        EXPECT_TRUE(contains(json["remarks"][2].get<std::string>(), "soles are estimated")) << words;
    }
}

// Held against what is written to a file: values local to the parent, in the file's unit and axes.
TEST_F(Printed, BalanceJsonHasTheCorrectedJoints) {
    EXPECT_EQ(Json::parse(run("balance beekeeper.bvh --json").out)["corrected_joints"], Json::array());
    const std::string words = "balance " + std::string(honey_box) + "--unit 0.01 --mass 70 --json";
    const Json joints = Json::parse(run(words + " --out box.bvh").out)["corrected_joints"];
    ASSERT_GE(joints.size(), 4u);
    EXPECT_EQ(joints[0]["name"], "hips");
    EXPECT_EQ(joints[0]["joint"], 0);
    std::istringstream frames(read(folder / "box.bvh"));
    std::string line;
    while (line.rfind("Frame Time:", 0) != 0)
        ASSERT_TRUE(std::getline(frames, line));
    for (size_t axis = 0; axis < 3; ++axis) { // the root's three positions come first
        double place = 0;
        ASSERT_TRUE(frames >> place);
        EXPECT_NEAR(joints[0]["translation"][axis].get<double>(), place, 1e-5);
    }
    for (const Json& joint : joints) {
        double length = 0;
        for (const Json& part : joint["rotation"])
            length += part.get<double>() * part.get<double>();
        EXPECT_EQ(joint["rotation"].size(), 4u);
        EXPECT_NEAR(length, 1, 1e-12) << joint["name"].get<std::string>();
        EXPECT_FALSE(contains(joint["name"].get<std::string>(), "toe"));
    }
}

TEST_F(Printed, HoldsThatGiveWayAreTold) {
    const std::string words = "balance beekeeper.bvh --frame 1 --load 60kg,back,right=0.3 ";
    EXPECT_EQ(Json::parse(run(words + "--json").out)["result"]["gave_way"], Json::array());
    const Json json = Json::parse(run(words + "--hold right-hand --json").out);
    const Json& hold = json["result"]["gave_way"][0];
    EXPECT_EQ(hold["limb"], "right-hand");
    EXPECT_NEAR(hold["place_m"].get<double>(), 0.055, 0.01);
    EXPECT_TRUE(contains(run(words + "--hold right-hand --page held.html").out,
                         "The hold of the right hand gave way: 5.5 cm from its place\n"));
    EXPECT_TRUE(contains(read(folder / "held.html"), "held, gave way 5.5\xC2\xA0"
                                                     "cm"));
    const Json turned = Json::parse(
        run("balance beekeeper.bvh --frame 1 --load 60kg,back,behind=0.4 --hold left-hand --json").out);
    EXPECT_GT(turned["result"]["gave_way"][0]["attitude"].get<double>(), 0.05);
}

TEST_F(Printed, KeepAndAmountAreHeeded) {
    const auto shift = [&](const std::string& options) {
        const Json json = Json::parse(run("balance --json " + std::string(bucket) + options).out);
        return json["result"]["controls"]["hips_shift"][0].get<double>();
    };
    const double full = shift("");
    EXPECT_GT(full, 0.005); // away from the bucket
    EXPECT_EQ(shift("--keep hips"), 0);
    EXPECT_EQ(shift("--keep spine,hips"), 0);
    EXPECT_NEAR(shift("--amount 50%"), full / 2, 1e-6);
    const Outcome none = run("balance " + std::string(honey_box) + "--amount 0");
    EXPECT_TRUE(contains(none.out, "Nothing changes.")) << none.out;
    EXPECT_FALSE(contains(none.out, "Corrected:")) << none.out;
}

TEST_F(Printed, VerdictsDoNotContradictThemselves) {
    const Outcome carrying = run("balance " + std::string(honey_box));
    EXPECT_TRUE(contains(carrying.out, "asked for), but it does not answer the load\n")) << carrying.out;
    EXPECT_EQ(carrying.out.find("does not answer"), carrying.out.rfind("does not answer")) << carrying.out;
    const Outcome keyed = run("read " + std::string(honey_box));
    EXPECT_TRUE(contains(keyed.out, "asked for), but it does not answer the load.\n")) << keyed.out;
    const Outcome near_edge = run("read beekeeper.bvh --margin 50% --load 30kg,hands");
    EXPECT_TRUE(contains(near_edge.out, "too near the edge: ")) << near_edge.out;
    EXPECT_FALSE(contains(near_edge.out, "out of balance")) << near_edge.out;
}

TEST_F(Printed, OnlyWhatShowsIsSaid) {
    const std::string carrying = run("balance " + std::string(honey_box)).out;
    EXPECT_TRUE(contains(carrying, "\nPelvis tilts back ")) << carrying;
    EXPECT_TRUE(contains(carrying, "\nIn all the chest leans back ")) << carrying;
    for (const char* few : {" 0.0 ", " 0.1 ", " 0.2 ", " 0.3 ", " 0.4 ", "-0.", "Hips turn", "limit of"})
        EXPECT_FALSE(contains(carrying, few)) << few << " in\n" << carrying;
    const std::string lifted = run("balance beekeeper.bvh --frame 2 --load 20kg,back,behind=0.25").out;
    EXPECT_TRUE(contains(lifted, "100 %  of the weight  at ")) << lifted;
    EXPECT_FALSE(contains(lifted, "100 % to 100 %")) << lifted;
}

TEST_F(Printed, ALoadInTheTrunkIsSaidToBeThere) {
    for (const char* words : {"read beekeeper.bvh --load 20kg,back", "balance beekeeper.bvh --load 20kg,back",
                              "read beekeeper.bvh --frames 0..2 --load 20kg,back"}) {
        const std::string said = run(words).err;
        EXPECT_TRUE(contains(said, "its middle lies in the trunk; behind=0.2")) << words << ": " << said;
    }
    EXPECT_EQ(run("read beekeeper.bvh --load 20kg,back,behind=0.26").err, "");
    EXPECT_EQ(run("read beekeeper.bvh --load 20kg,back,up=0.3").err, "");
    EXPECT_EQ(run("read beekeeper.bvh --load 20kg,hands").err, "");
}

TEST_F(Printed, CommonPracticeIsSaidOnce) {
    for (const char* words : {"read beekeeper.bvh --frame 2 --load 5kg,back",
                              "balance beekeeper.bvh --frame 0 --load 22kg,hands"}) {
        const std::string text = run(words).out;
        EXPECT_TRUE(contains(text, " (common practice):\n  ")) << text;
        EXPECT_EQ(text.find("common practice"), text.rfind("common practice")) << text;
    }
}

TEST_F(Printed, ALeaningHandHasNoHeel) {
    const std::string text = run("read beekeeper.bvh --stance left-foot=bearing,right-foot=bearing,"
                                 "left-hand=bearing,right-hand=bearing")
                                 .out;
    EXPECT_TRUE(contains(text, "left-hand ")) << text;
    int heels = 0;
    for (size_t at = text.find("from the heel"); at != std::string::npos;
         at = text.find("from the heel", at + 1))
        ++heels;
    EXPECT_EQ(heels, 2) << text;
}

TEST_F(Printed, ABlankAfterAQuotedCommaIsNoMatter) {
    const Outcome blank = run("read beekeeper.bvh --load '5kg, hands, hang=0.1'");
    EXPECT_EQ(blank.out, run("read beekeeper.bvh --load 5kg,hands,hang=0.1").out) << blank.err;
}

TEST_F(Printed, OutOfReachIsStatusOne) {
    const Outcome outcome = run("balance beekeeper.bvh --load 400kg,hands,forward=0.5 --out far.bvh");
    EXPECT_EQ(outcome.status, 1) << outcome.err;
    EXPECT_TRUE(contains(outcome.out, "out of reach")) << outcome.out;
    EXPECT_TRUE(fs::exists(folder / "far.bvh")); // the nearest pose
}

TEST_F(Written, CorrectedFileReadsInBalance) {
    ASSERT_EQ(run("read beekeeper.bvh --frame 2").status, 1);
    const Outcome made = run("balance beekeeper.bvh --frame 2 --out log.bvh --picture log.svg --lines");
    EXPECT_EQ(made.status, 0) << made.err;
    EXPECT_EQ(run("read log.bvh --frame 2").status, 0);
    EXPECT_TRUE(contains(read(folder / "log.svg"), "</svg>"));
    EXPECT_EQ(files_written(), 2u);
    const std::string keyed = read(folder / "beekeeper.bvh"), corrected = read(folder / "log.bvh");
    const size_t third = keyed.rfind('\n', keyed.size() - 2);
    EXPECT_EQ(keyed.substr(0, third), corrected.substr(0, third)); // the other frames to the byte
    EXPECT_NE(keyed, corrected);
}

TEST_F(Written, PageBesideThePicture) {
    const Outcome made =
        run("balance " + std::string(honey_box) + "--picture box.svg --page box.html --json");
    EXPECT_EQ(made.status, 0) << made.err;
    const Json json = Json::parse(made.out);
    EXPECT_EQ(json["page"], "box.html");
    EXPECT_EQ(json["picture"], "box.svg");
    EXPECT_FALSE(json.contains("out"));
    const std::string page = read(folder / "box.html");
    for (const char* part :
         {"</html>", "BEFORE", "AFTER", "Control values", "asked for 22.0 kg", "both hands"})
        EXPECT_TRUE(contains(page, part)) << part;
    EXPECT_EQ(files_written(), 2u);

    const Outcome keyed = run("read " + std::string(bucket) + "--page pose.htm --lines");
    EXPECT_TRUE(contains(keyed.out, "Wrote pose.htm")) << keyed.out;
    EXPECT_FALSE(contains(read(folder / "pose.htm"), "AFTER"));
    EXPECT_TRUE(contains(run("balance --help").out, "--page"));
    EXPECT_TRUE(contains(run("read --help").out, "--page"));
}

TEST_F(Written, DescriptionGivesTheFigureAgain) {
    EXPECT_EQ(run("inspect beekeeper.bvh --mass 82 --write beekeeper.bvh.figure.json").status, 0);
    const Json json = Json::parse(run("inspect beekeeper.bvh --json").out); // found beside the file
    EXPECT_NEAR(json["figure"]["mass_kg"].get<double>(), 82, 1e-9);
}

TEST_F(Written, NothingIsHalfWritten) {
    write(folder / "old.bvh", "an older result");
    fs::create_directory(folder / "folder.svg");
    const std::string box = "balance " + std::string(honey_box);
    refuses(box + "--out missing/new.bvh --picture new.svg", "'missing' does not exist; create that folder");
    refuses(box + "--out old.bvh --picture missing/new.svg", "missing");
    refuses(box + "--out old.bvh --picture folder.svg", "folder");
    refuses(box + "--out old.bvh --picture new.svg --page missing/new.html", "missing");
    refuses(box + "--out missing/new.bvh --page new.html", "missing");
    refuses(box + "--page new.txt", ".html");
    write(folder / "shown.svg", "an older picture");
    fs::create_symlink("shown.svg", folder / "shown.html");
    refuses(box + "--picture shown.svg --page shown.html", "same file");
    refuses(box + "--page one.html --page two.html", "--page");
    EXPECT_EQ(read(folder / "shown.svg"), "an older picture");
    fs::remove(folder / "shown.html"), fs::remove(folder / "shown.svg");
    refuses(box + "--out old.bvh --stance left-foot=held,right-foot=held", "bears");
    refuses(box + "--out beekeeper.bvh", "keyed file");
    refuses(box + "--out ./beekeeper.bvh", "keyed file");
    refuses(box + "--out new.glb", "the file keeps its format; end the name in .bvh");
    refuses(box + "--out .", "that is a folder");
    refuses(box + "--out old.bvh/new.bvh", "'old.bvh' is not a folder");
    refuses(box + "--picture new.png", ".svg");
    refuses("inspect beekeeper.bvh --write missing/figure.json", "missing");
    EXPECT_EQ(read(folder / "old.bvh"), "an older result");
    EXPECT_EQ(files_written(), 2u); // old.bvh and folder.svg
}

TEST_F(Printed, ARopeMakesOneLeanAgainstIt) {
    for (const char* way : {"forward", "behind"}) {
        const Outcome made =
            run("balance beekeeper.bvh --frame 0 --json --pull 150N,right-hand," + std::string(way));
        EXPECT_EQ(made.status, 0) << made.err;
        const Json json = Json::parse(made.out);
        EXPECT_EQ(json["pulls"][0], Json({{"place", "right-hand"}, {"newtons", 150.0}, {"way", way}}));
    }
    EXPECT_TRUE(contains(run("balance beekeeper.bvh --pull 150N,right-hand,forward").out, "cm back"));
    EXPECT_TRUE(contains(run("balance beekeeper.bvh --pull 150N,right-hand,behind").out, "cm forward"));
    EXPECT_TRUE(contains(run("read beekeeper.bvh --pull 150N,hands,forward,up=0.2").out,
                         "pulled: 150 N at hands, forward and up=0.2"));
}

TEST_F(Printed, PartsThatBearAreNamedAndKeepTheHips) {
    const Outcome read = run("read beekeeper.bvh --stance left-knee=0.05,right-elbow=bearing");
    EXPECT_TRUE(contains(read.out, "left-knee    bearing, as given")) << read.out << read.err;
    EXPECT_TRUE(contains(read.out, "right-elbow  bearing, by proportion")) << read.out;
    const std::string box = "balance beekeeper.bvh --frame 0 --load 22kg,hands ";
    EXPECT_TRUE(contains(run(box).out, "Hips: "));
    const Outcome seated = run(box + "--stance seat=bearing");
    EXPECT_GE(seated.status, 0);
    EXPECT_TRUE(contains(seated.out, "seat        bearing")) << seated.out << seated.err;
    EXPECT_FALSE(contains(seated.out, "Hips: ")) << seated.out;
}

TEST_F(Printed, APatchOfACharacterWithSkinIsAtItsLowest) {
    const std::string glb = "read '" APLOMB_SOURCE_DIR "/examples/beekeeper.glb' --json --stance seat=";
    const auto height = [&](const std::string& seat) {
        Json json = Json::parse(run(glb + seat).out);
        EXPECT_EQ(json["stance"].back()["does"],
                  seat == "bearing" ? "bearing, by its skin" : "bearing, as given");
        return json["reading"]["contacts"].back()["centre"][1].get<double>();
    };
    const double start = height("0"), skin = height("bearing"); // the thighs' start, and what is below
    EXPECT_NEAR(height("0.07"), start - 0.07, 1e-9);
    EXPECT_LT(skin, start - 0.02);
    EXPECT_GT(skin, start - 0.2);
}

TEST_F(Written, APageSaysARopeAndWhatItDoes) {
    const Outcome made = run(
        "balance beekeeper.bvh --frame 0 --pull 150N,right-hand,behind --page rope.html --picture rope.svg");
    EXPECT_EQ(made.status, 0) << made.err;
    const std::string page = read(folder / "rope.html");
    const auto cell = [](const std::string& words) { return ">" + words + "</t"; };
    for (const std::string& said : {cell("pull of 150\xC2\xA0N at the right hand"), cell("back"),
                                    cell("OUT OF BALANCE"), cell("in balance"), std::string("forward")})
        EXPECT_TRUE(contains(page, said)) << said;
    const size_t shift = page.find("hips, shift");
    EXPECT_TRUE(contains(page.substr(shift, page.find("</tr>", shift) - shift), " forward</td>"));
    EXPECT_TRUE(contains(read(folder / "rope.svg"), ">150 N<"));
}

TEST_F(Printed, WhatACarryDoesIsTold) {
    const auto number = [](const Json& value) { return value.get<double>(); };
    const std::string text = run("balance " + std::string(honey_box)).out;
    for (const char* words : {"\nKnees bend to ", "\nShoulders: ", "\nLoad in the hands: drawn in ",
                              "\n  knees     bent by ", "\n  by the knees "})
        EXPECT_TRUE(contains(text, words)) << words << " in\n" << text;
    const Json json = Json::parse(run("balance " + std::string(honey_box) + "--json").out);
    const Json& result = json["result"];
    ASSERT_EQ(result["knees"].size(), 2u);
    EXPECT_GT(number(result["knees"][0]["bend"]), number(result["knees"][0]["keyed"]));
    EXPECT_GT(number(result["load_in_hands"]["lowered"]), 0);
    EXPECT_GT(number(result["shoulders_lower"]["left"]), 0);
    EXPECT_EQ(number(json["keyed"]["knees"]["bend"]), number(result["knees"][0]["keyed"]));
    EXPECT_GT(number(json["corrected"]["knees"]["reads_kg"]), number(json["keyed"]["knees"]["reads_kg"]));
    EXPECT_TRUE(json["corrected"]["pelvis"].contains("right"));
    EXPECT_TRUE(Json::parse(run("read beekeeper.bvh --json").out)["reading"]["knees"]["reads_kg"].is_null());
}

TEST_F(Written, AFootIsSuggestedAndMovedOnlyWhenAsked) {
    const auto number = [](const Json& value) { return value.get<double>(); };
    const std::string box = "balance beekeeper.bvh --frame 0 --load 35kg,hands,forward=0.1 ";
    const Json told = Json::parse(run(box + "--out kept.bvh --json").out);
    const Json& foot = told["foot_suggested"];
    EXPECT_EQ(foot["limb"], "left-foot");
    EXPECT_GT(number(foot["ahead"]), .15);
    EXPECT_GE(foot["outline"].size(), 4u);
    EXPECT_LT(number(foot["lean"][1]), number(foot["lean"][0]));
    EXPECT_TRUE(told["foot_moved"].is_null());
    const Outcome kept = run(box + "--page kept.html"), moved = run(box + "--move-foot --out moved.bvh");
    const std::string words = foot["text"].get<std::string>();
    EXPECT_TRUE(contains(kept.out, "\nSuggested, not done: " + words + " (--move-foot)\n")) << kept.out;
    EXPECT_TRUE(contains(read(folder / "kept.html"), "class=\"suggested-sole\""));
    EXPECT_TRUE(contains(moved.out, "\nMoved: " + words + "\n")) << moved.out;
    EXPECT_FALSE(contains(moved.out, "Suggested")) << moved.out;
    const auto left_foot = [&](const char* file) {
        const Json json = Json::parse(run("read " + std::string(file) + " --frame 0 --json").out);
        return json["reading"]["contacts"][0]["centre"][2].get<double>();
    };
    EXPECT_GT(left_foot("moved.bvh"), left_foot("kept.bvh") + .1);
    const Json light = Json::parse(run("balance beekeeper.bvh --frame 0 --load 4kg,hands --json").out);
    EXPECT_TRUE(light["foot_suggested"].is_null());
    EXPECT_TRUE(contains(run("balance beekeeper.bvh --frame 0 --load 4kg,hands --move-foot").out,
                         "\nMoved: no foot, nothing would be gained\n"));
}

TEST_F(Written, FullOutputIsAFailure) {
    if (!fs::exists("/dev/full")) GTEST_SKIP() << "no /dev/full here";
    const std::string line =
        "cd '" + folder.string() + "' && '" APLOMB_COMMAND "' read beekeeper.bvh >/dev/full 2>stderr.txt";
    EXPECT_EQ(WEXITSTATUS(std::system(line.c_str())), 2);
    EXPECT_TRUE(contains(read(folder / "stderr.txt"), "cannot be printed"));
}

} // namespace
} // namespace command
