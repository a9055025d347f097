// SPDX-License-Identifier: MIT
// A figure with a pose, a situation and its reading, ready to be drawn; and a folder to draw into.
#pragma once

#include <gtest/gtest.h>
#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <memory>
#include <sstream>
#include <vector>

#include "aplomb/files.h"
#include "figures.h"
#include "xml_check.h"

namespace drawn {

namespace fs = std::filesystem;

inline std::string read_file(const fs::path& path) {
    std::ifstream file(path, std::ios::binary);
    std::ostringstream text;
    text << file.rdbuf();
    return text.str();
}

inline int count(const std::string& text, const std::string& part) {
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
        p.before = {translations.data(), rotations.data(), reading.get(), "keyed", nullptr};
        if (after) p.after = {translations.data(), rotations.data(), reading.get(), "corrected", nullptr};
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

class InFolder : public testing::Test {
protected:
    void SetUp() override {
        folder_ = fs::temp_directory_path() / ("aplomb_picture_" + std::to_string(getpid()));
        fs::create_directories(folder_);
    }
    void TearDown() override { fs::remove_all(folder_); }

    std::string path(const char* name = "picture.svg") const { return (folder_ / name).string(); }
    fs::path folder_;
};

} // namespace drawn
