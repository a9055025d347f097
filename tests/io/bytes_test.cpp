// SPDX-License-Identifier: MIT
#include "io/bytes.h"
#include "io/disk.h"
#include "io/fault.h"
#include "io/near_names.h"
#include "io/uri.h"

#include "made_files.h"

#include <gtest/gtest.h>

using namespace aplomb::io;

// RFC 4648, section 10.
TEST(Base64, PublishedVectors) {
    const std::pair<const char*, const char*> pairs[] = {{"", ""},
                                                         {"f", "Zg=="},
                                                         {"fo", "Zm8="},
                                                         {"foo", "Zm9v"},
                                                         {"foob", "Zm9vYg=="},
                                                         {"fooba", "Zm9vYmE="},
                                                         {"foobar", "Zm9vYmFy"}};
    for (const auto& [plain, coded] : pairs) {
        EXPECT_EQ(base64_encode(plain), coded);
        std::string back;
        EXPECT_TRUE(base64_decode(coded, back));
        EXPECT_EQ(back, plain);
    }
    std::string ignored;
    EXPECT_FALSE(base64_decode("Zm9v!", ignored));
    EXPECT_FALSE(base64_decode("Zm9vY", ignored));
}

TEST(Uri, PathsAndBack) {
    EXPECT_EQ(path_from_uri("my%20file.bin"), "my file.bin");
    EXPECT_EQ(uri_from_path("../a b/\xC3\xA9.bin"), "../a%20b/%C3%A9.bin");
    EXPECT_TRUE(is_relative_uri("a/b.bin"));
    EXPECT_FALSE(is_relative_uri("http://x/b.bin"));
    EXPECT_FALSE(is_relative_uri("/etc/b.bin"));
}

// RFC 3629: what is and what is not UTF-8.
TEST(Utf8, GoodAndBad) {
    for (const char* good : {"", "Hips", "\xC3\xA9", "\xE2\x82\xAC", "\xF0\x9F\x90\x9D"})
        EXPECT_TRUE(is_utf8(good));
    for (const char* bad : {"\xE9", "\xC0\x80", "\xED\xA0\x80", "\xF4\x90\x80\x80", "\xE2\x82", "\xFF"})
        EXPECT_FALSE(is_utf8(bad)) << bad;
}

TEST(ReplaceFile, ReplacesWholeAndLeavesNothingBeside) {
    const made::Folder folder;
    made::write(folder / "a.txt", "old");
    replace_file(folder / "a.txt", "new text");
    EXPECT_EQ(made::read(folder / "a.txt"), "new text");
    EXPECT_FALSE(std::filesystem::exists(folder / "a.txt.part0"));
}

TEST(ReplaceFile, AFailedWriteLeavesTheOldFile) {
    const made::Folder folder;
    made::write(folder / "busy" / "x", "inside");
    EXPECT_THROW(replace_file(folder / "busy", "text"), Fault); // a folder of this name is in the way
    EXPECT_EQ(made::read(folder / "busy" / "x"), "inside");
    EXPECT_THROW(replace_file(folder / "missing/b.txt", "text"), Fault);
}

TEST(ReplaceFile, WritesThroughALink) {
    const made::Folder folder;
    made::write(folder / "real.txt", "old");
    std::filesystem::create_symlink(folder / "real.txt", folder / "link.txt");
    replace_file(folder / "link.txt", "new");
    EXPECT_TRUE(std::filesystem::is_symlink(folder / "link.txt"));
    EXPECT_EQ(made::read(folder / "real.txt"), "new");
}

TEST(NearNames, DistanceAndText) {
    EXPECT_EQ(edit_distance("kitten", "sitting"), 3); // the usual textbook pair
    EXPECT_EQ(edit_distance("Hips", "hips"), 0);
    EXPECT_EQ(near_names("LeftFot", {"LeftFoot", "RightHand"}), "; near: 'LeftFoot'");
    EXPECT_EQ(near_names("hero:LeftHand", {"LeftHand", "RightHand", "Hips"}), "; near: 'LeftHand'");
    EXPECT_EQ(near_names("Wing", {"LeftFoot", "RightHand"}), "");
}
