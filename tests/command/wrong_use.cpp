// SPDX-License-Identifier: MIT
// Whatever is typed wrongly is refused with one sentence and exit status 2, and nothing is written.
#include "command.h"

namespace command {
namespace {

using WrongUse = CommandTest;

/// One joint of a BVH with what hangs on it; `below` may be more joints or the end of the last.
std::string joint(const std::string& name, const std::string& offset, const std::string& below) {
    return "JOINT " + name + "\n{\nOFFSET " + offset + "\nCHANNELS 3 Zrotation Xrotation Yrotation\n" +
           below + "}\n";
}
std::string end_site(const std::string& offset) {
    return "End Site\n{\nOFFSET " + offset + "\n}\n";
}
std::string leg(const std::string& side, const std::string& hip) {
    const std::string foot = joint(side + "_foot", "0 -0.4 -0.01", end_site("0 -0.1 0.15"));
    return joint(side + "_thigh", hip, joint(side + "_shank", "0 -0.4 0.01", foot));
}
/// A figure of a trunk and `limbs`, made up for this test.
std::string trunk_with(const std::string& limbs, int turning_joints) {
    std::string zeros;
    for (int i = 0; i < 3 * turning_joints; ++i)
        zeros += " 0";
    return "HIERARCHY\nROOT hips\n{\nOFFSET 0 0 0\n"
           "CHANNELS 6 Xposition Yposition Zposition Zrotation Xrotation Yrotation\n" +
           joint("spine", "0 0.3 0", end_site("0 0.4 0")) + limbs +
           "}\nMOTION\nFrames: 1\nFrame Time: 0.04\n0 0.9 0" + zeros + "\n";
}

TEST_F(WrongUse, Commands) {
    refuses("", "inspect, read, balance, fit, follow, timing or dots");
    refuses("blance beekeeper.bvh", "near: 'balance'");
    refuses("read", "FILE");
    refuses("read beekeeper.bvh --jso", "near: '--json'");
    refuses("read beekeeper.bvh extra", "one FILE at a time; 'extra' is a second");
    refuses("hero.glb",
            "'hero.glb' is not a command; use inspect, read, balance, fit, follow, timing or dots");
    refuses("--load 20kg,hands balance beekeeper.bvh", "--load belongs after balance");
    refuses("--load", "belongs after a command");
    refuses("read beekeeper.bvh balance", "two commands, read and balance");
    refuses("read beekeeper.bvh balance other.bvh", "two commands, read and balance");
    refuses("read beekeeper.bvh --out=new.bvh", "--out belongs to balance, fit and follow; read");
    refuses("inspect beekeeper.bvh --load 1kg,back",
            "--load belongs to read, balance, follow and dots; inspect");
    refuses("read beekeeper.bvh -x", "'aplomb read --help' lists");
}

TEST_F(WrongUse, Values) {
    refuses("balance beekeeper.bvh --load", "--load needs LOAD after it ('aplomb balance --help'");
    refuses("balance beekeeper.bvh --clip --load 20kg,hands",
            "--clip: NAME is needed; '--load' came instead");
    refuses("balance beekeeper.bvh --out --page=x.html", "--out: FILE is needed; '--page=x.html' came");
    refuses("balance beekeeper.bvh --load 20kg, hands", "leave out the blank");
    refuses("balance beekeeper.bvh --frames all --move-foot", "--move-foot is for one frame");
    refuses("balance beekeeper.bvh --out a.bvh --out b.bvh", "--out is given twice");
    refuses("balance beekeeper.bvh --exact=maybe", "--exact takes no value");
    for (const char* option : {"clip", "out", "picture", "page", "description", "skin", "load"})
        refuses("balance beekeeper.bvh --" + std::string(option) + " ''", "it is empty");
    refuses("inspect beekeeper.bvh --write ''", "it is empty; PATH is needed");
    refuses("read ''", "FILE: it is empty");
    refuses("read beekeeper.bvh --mass 75kg", "'75kg' is not a bare number of kg above 0, such as 75");
    refuses("read beekeeper.bvh --stature 1.75m", "a bare number of metres above 0");
    refuses("read beekeeper.bvh --unit cm", "0.01 for centimetres");
}

TEST_F(WrongUse, Figures) {
    fs::copy_file(fs::path(APLOMB_SOURCE_DIR) / "examples" / "beekeeper.glb", folder / "beekeeper.glb");
    refuses("read beekeeper.bvh --skin x", "a BVH has no skins");
    refuses("read beekeeper.glb --skin foo", "no skin is called 'foo'; there is 'lay figure'");
    refuses("read beekeeper.bvh --unit 0.01 --stature 1.75", "--stature has no effect beside --unit");
    refuses("read beekeeper.glb --stature 1.75", "--stature has no effect on glTF");
    refuses("read beekeeper.bvh --up y --facing=-y", "--up and --facing lie along one axis");
    refuses("read beekeeper.glb --up z", "--up and --facing lie along one axis");
}

TEST_F(WrongUse, Files) {
    refuses("read missing.bvh", "missing.bvh");
    refuses("read .", "folder");
    write(folder / "noise.bvh", "noise");
    refuses("read noise.bvh", "noise.bvh");
    write(folder / "empty.glb", "");
    refuses("inspect empty.glb", "empty.glb");
    refuses("read beekeeper.bvh --description none.json", "none.json");
}

TEST_F(WrongUse, Moments) {
    refuses("read beekeeper.bvh --frame 3", "3 frames");
    refuses("read beekeeper.bvh --frame -1", "--frame");
    refuses("read beekeeper.bvh --frame 99", "give 0 to 2");
    refuses("read beekeeper.bvh --time 1000", "--time 1000: clip 'motion' runs from 0 to 2 s");
    refuses("read beekeeper.bvh --frame 0.5", "--frame");
    refuses("read beekeeper.bvh --stand motion", "'motion' is not CLIP:SECONDS");
    refuses("read beekeeper.bvh --stand motion:-1", "--stand");
    refuses("read beekeeper.bvh --stand moton:1", "near: 'motion'");
    refuses("read beekeeper.bvh --stand motion:77", "runs from 0.00 s to 2.00 s");
    refuses("read beekeeper.bvh --time nan", "--time");
    refuses("read beekeeper.bvh --frame 1 --time 1", "--time");
    refuses("read beekeeper.bvh --clip motoin", "the only one is 'motion'");
    refuses("read beekeeper.bvh --clip none --frame 1", "need a clip");
}

TEST_F(WrongUse, Pulls) {
    refuses("read beekeeper.bvh --pull 150N,right-hand", "such as 150N,right-hand,behind");
    refuses("read beekeeper.bvh --pull hard,right-hand,behind", "'hard' is not a force: newtons");
    refuses("read beekeeper.bvh --pull=-5N,right-hand,behind", "'-5N' is not a force");
    refuses("read beekeeper.bvh --pull 5N,left_hnd,behind", "near: 'left_hand'");
    refuses("read beekeeper.bvh --pull 5N,back,away", "'away' is not left, right, up, down");
    refuses("read beekeeper.bvh --pull 5N,back,up=much", "'up=much' is not WAY=PART");
    refuses("read beekeeper.bvh --pull 5N,back,left,right", "cancel out");
    std::string nine = "read beekeeper.bvh";
    for (int i = 0; i < 5; ++i)
        nine += " --pull 1N,hands,left";
    refuses(nine, "10 joints are pulled; at most 8");
    refuses("read beekeeper.bvh --pull 2000N,back,up", "does not press on the ground");
}

TEST_F(WrongUse, PartsThatBear) {
    refuses("read beekeeper.bvh --stance seat=flat",
            "seat takes bearing, or how many metres below its joint");
    refuses("read beekeeper.bvh --stance left-knee=-1", "left-knee takes bearing");
    refuses("read beekeeper.bvh --stance seat=bearing,seat=0.1", "seat is given twice");
    refuses("read beekeeper.bvh --stance nose=bearing", "no limb 'nose'");
    refuses("balance beekeeper.bvh --load 5kg,hands --stance spine_2=bearing",
            "of the trunk only the hips can bear");
}

TEST_F(WrongUse, Loads) {
    refuses("read beekeeper.bvh --load 20kg", "20kg,hands");
    refuses("read beekeeper.bvh --load much,hands", "'much'");
    refuses("read beekeeper.bvh --load=-1kg,hands", "'-1kg'");
    refuses("read beekeeper.bvh --load infkg,hands", "'infkg'");
    refuses("read beekeeper.bvh --load 20kg,left_hnd", "near: 'left_hand'");
    refuses("read beekeeper.bvh --load 20kg,hands,sideways=1", "'sideways'");
    refuses("read beekeeper.bvh --load 20kg,hands,hang=-1", "hang");
    refuses("read beekeeper.bvh --load 20kg,hands,level=2", "level");
    refuses("read beekeeper.bvh --load 20kg,hands,level=70", "did you mean 70%?");
    refuses("read beekeeper.bvh --load 20kg,hands,hang=1,hang=2", "'hang' is given twice");
    refuses("read beekeeper.bvh --load 20lb,hands", "'20lb' is not a mass: kg, 0 or more");
    refuses("read beekeeper.bvh --load 20kg,hands,forward=10cm", "METRES with a bare number");
    std::string nine = "read beekeeper.bvh";
    for (int i = 0; i < 9; ++i)
        nine += " --load 1kg,back";
    refuses(nine, "at most 8");
}

TEST_F(WrongUse, Stances) {
    refuses("read beekeeper.bvh --stance left-foot", "PART=WORD");
    refuses("read beekeeper.bvh --stance left-food=held",
            "it has left-foot, right-foot, left-hand, right-hand");
    refuses("read beekeeper.bvh --stance seet=bearing", "besides, seat, left-knee");
    refuses("read beekeeper.bvh --stance left-foot=up", "'up'");
    refuses("read beekeeper.bvh --stance left-foot=held,right-foot=held", "left-foot=bearing");
    refuses("balance beekeeper.bvh --hold tail", "'tail'");
    refuses("balance beekeeper.bvh --hold left-foot=held", "it takes the limb alone");
    refuses("read beekeeper.bvh --stance left-foot=flat,left-foot=held", "left-foot is given twice");
    refuses("read beekeeper.bvh --stance left-foot=flat --hold left-foot", "left-foot is given twice");
    refuses("read beekeeper.bvh --stance left-hand=flat", "'flat' is for feet; use bearing");
    refuses("balance beekeeper.bvh --share left-foot=70% --share right-foot=70%", "the parts sum to 140 %");
    refuses("balance beekeeper.bvh --share left-foot=20%,left-foot=30%", "left-foot is given twice");
    refuses("balance beekeeper.bvh --share left-foot=70", "did you mean 70%?");
    refuses("balance beekeeper.bvh --share left-foot=110%", "110%");
    refuses("balance beekeeper.bvh --share left-hand=50%", "does not bear");
}

TEST_F(WrongUse, Options) {
    refuses("balance beekeeper.bvh --keep left_foot", "spine, neck, head and girdles");
    refuses("balance beekeeper.bvh --keep spyne", "near: 'spine'");
    refuses("balance beekeeper.bvh --keep hips,turn,spine --keep neck", "nothing may move");
    refuses("balance beekeeper.bvh --amount 201%", "200%");
    refuses("balance beekeeper.bvh --amount 50", "did you mean 50%?");
    refuses("balance beekeeper.bvh --margin 8", "did you mean 8%?");
    refuses("balance beekeeper.bvh --margin wide", "--margin wide: a bare number is needed, or one with %");
    refuses("balance beekeeper.bvh --rest -1", "--rest -1: 0 to 1e+06 are allowed");
    refuses("balance beekeeper.bvh --option margin=8",
            "--option margin=8: 0 to 1 are allowed; did you mean 8%?");
    refuses("balance beekeeper.bvh --option max_iterations=5000", "1 to 1000 are allowed\n");
    refuses("balance beekeeper.bvh --margin 8% --option margin=0.05",
            "--margin 8% and --option margin=0.05 are one option; give it once");
    refuses("balance beekeeper.bvh --option thorough=0 --thorough", "are one option; give it once");
    refuses("balance beekeeper.bvh --option aim=0.02 --option aim=0.03", "are one option; give it once");
    refuses("balance beekeeper.bvh --amount 50% --amount 60%", "--amount is given twice");
    refuses("read beekeeper.bvh --gravity 0,0,0", "--gravity");
    refuses("read beekeeper.bvh --gravity 0,1", "three numbers");
    refuses("read beekeeper.bvh --gravity 0,9.81,0", "point it down, as 0,-9.81,0");
    refuses("read beekeeper.bvh --unit 0", "--unit");
    refuses("read beekeeper.bvh --up w", "axis");
    refuses("read beekeeper.bvh --table men", "male");
    refuses("read beekeeper.bvh --lines", "--picture or --page");
    refuses("read beekeeper.bvh --page", "--page needs FILE.html");
}

TEST_F(WrongUse, FigureWithoutHands) {
    write(folder / "legs.bvh", trunk_with(leg("left", "0.1 0 0") + leg("right", "-0.1 0 0"), 8));
    refuses("read legs.bvh --load 20kg,hands", "no left hand");
    refuses("read legs.bvh --load 20kg,right-hand", "no right hand");
    EXPECT_NE(run("read legs.bvh --load 5kg,back").status, 2);
}

TEST_F(WrongUse, FigureWithoutFeet) {
    write(folder / "trunk.bvh", trunk_with("", 2));
    refuses("read trunk.bvh", "No legs were found");
    // A head tells a stature.
    write(folder / "bust.bvh",
          trunk_with(joint("spine2", "0 0.3 0", joint("head", "0 0.4 0", end_site("0 0.2 0"))), 4));
    const Outcome read = run("read bust.bvh");
    EXPECT_EQ(read.status, 2);
    EXPECT_NE(read.err.find("bust.bvh: nothing bears weight: neither legs nor arms were found"),
              std::string::npos)
        << read.err;
    const Outcome inspected = run("inspect bust.bvh");
    EXPECT_EQ(inspected.status, 1);
    EXPECT_EQ(inspected.out.rfind("This figure cannot stand: see the remarks.\n", 0), 0u) << inspected.out;
    EXPECT_NE(run("inspect bust.bvh --json").out.find("\"stands\": false"), std::string::npos);
}

TEST_F(WrongUse, WhatMakesAFigureDoubtfulIsSaidByEveryCommand) {
    const std::string said =
        "aplomb: beekeeper.bvh: The figure is 175 m tall: if it is not, give its unit; --unit";
    write(folder / "beekeeper.bvh.figure.json", "{\"aplomb_figure\": 1, \"metres_per_unit\": 100}");
    for (const std::string command : {"inspect", "read", "balance"}) {
        const Outcome tall = run(command + " beekeeper.bvh --json");
        EXPECT_EQ(tall.err.rfind(said, 0), 0u) << command << ": " << tall.err;
        EXPECT_NE(tall.out.find("The figure is 175 m tall"), std::string::npos) << command;
        EXPECT_EQ(run(command + " beekeeper.bvh --unit 100").err, "") << "asked for";
    }
    fs::remove(folder / "beekeeper.bvh.figure.json");
    EXPECT_EQ(run("read beekeeper.bvh").err, "");
}

} // namespace
} // namespace command
