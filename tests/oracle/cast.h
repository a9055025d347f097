// SPDX-License-Identifier: MIT
// The oracle's figures: the lay figures of balance/corpus.h, a top-heavy cartoon figure, and where the shared
// reference data is there, a human figure, a four-footed one and a motion-capture skeleton from files.
#pragma once

#include <cstdio>
#include <filesystem>
#include <string>
#include <utility>

#include "balance/corpus.h"
#include "oracle/full_problem.h"
#ifdef APLOMB_WITH_FILES
#include "aplomb/files.h"
#endif

namespace full_space {

struct BasePose {
    std::vector<double> translations, rotations;
};

struct Actor {
    std::string name;
    std::shared_ptr<const void> owner; // of the figure
    std::unique_ptr<Subject> subject;
    int lay = -1;             // number in the corpus' company; -1: posed from `bases`
    bool four_footed = false; // stands as it rests
    std::vector<BasePose> bases;
};

class Cast {
public:
    Cast() : company_(std::make_unique<own::Company>()) {
        static const char* const names[] = {"lay adult", "lay toddler", "lay adult, detailed", "lay dog"};
        for (size_t i = 0; i < own::Company::size; ++i) {
            Actor& actor = add(names[i], nullptr, (*company_)[i].figure.get());
            actor.lay = static_cast<int>(i);
        }
        add_cartoon();
        add_files();
    }
    size_t size() const { return actors_.size(); }
    const Actor& operator[](size_t i) const { return actors_[i]; }
    const own::Company& company() const { return *company_; }

private:
    Actor& add(const std::string& name, std::shared_ptr<const void> owner, const aplomb_figure* figure) {
        Actor actor;
        actor.name = name, actor.owner = std::move(owner);
        actor.subject = std::make_unique<Subject>(figure);
        actors_.push_back(std::move(actor));
        return actors_.back();
    }

    /// Half of its mass is the head, on legs of two thirds of a toddler's length.
    void add_cartoon() {
        lay::LayFigure shape = lay::LayFigure::toddler();
        const lay::FigureHandle plain = shape.create();
        const own::Bones bones(plain.get());
        std::vector<double> masses, centres;
        for (int32_t j = 0; j < shape.count(); ++j) {
            const aplomb_joint_info& info = bones.joints[static_cast<size_t>(j)];
            double enlarge = 1;
            if (info.role == APLOMB_ROLE_SHANK || info.role == APLOMB_ROLE_FOOT) {
                for (size_t a = 0; a < 3; ++a)
                    shape.translations[3 * static_cast<size_t>(j) + a] *= 0.66;
            }
            if (info.role == APLOMB_ROLE_HEAD) {
                enlarge = 2;
                for (size_t a = 0; a < 3; ++a)
                    shape.tips[3 * static_cast<size_t>(j) + a] *= enlarge;
            }
            masses.push_back(info.role == APLOMB_ROLE_HEAD ? 0.5 * shape.total_mass : 0.6 * info.mass);
            for (const double c : info.centre)
                centres.push_back(enlarge * c);
        }
        aplomb_figure_desc desc = shape.desc();
        desc.masses = masses.data(), desc.centres = centres.data(), desc.total_mass = 0;
        auto figure = std::make_shared<lay::FigureHandle>(lay::LayFigure::create_figure(desc));
        Actor& actor = add("cartoon, top-heavy", figure, figure->get());
        actor.bases.push_back(neutral(*actor.subject));
    }

    static BasePose neutral(const Subject& subject) {
        const size_t count = subject.bones.joints.size();
        BasePose pose{std::vector<double>(3 * count), std::vector<double>(4 * count)};
        aplomb_figure_neutral_pose(subject.figure, pose.translations.data(), pose.rotations.data());
        return pose;
    }

    void add_files() {
#ifdef APLOMB_WITH_FILES
        const std::filesystem::path reference = APLOMB_SOURCE_DIR "/../shared/reference";
        if (std::filesystem::exists(reference)) {
            if (Actor* human = open("human", reference / "figures/human_male.glb", 1))
                human->bases.push_back(neutral(*human->subject));
            if (Actor* fox = open("fox", reference / "figures/fox.glb", 0.01)) fox->four_footed = true;
            open("motion capture", reference / "poses/cmu115_lift_poses.bvh", 0.056444);
            return;
        }
        std::puts("!! The shared reference data was not found: human, fox and motion capture ARE LEFT OUT.");
#else
        std::puts("!! Built without the file library: human, fox and motion capture ARE LEFT OUT.");
#endif
    }

#ifdef APLOMB_WITH_FILES
    Actor* open(const char* name, const std::filesystem::path& path, double metres_per_unit) {
        aplomb_character_options options;
        aplomb_character_options_init(&options, sizeof options);
        options.metres_per_unit = metres_per_unit;
        aplomb_character* opened = nullptr;
        aplomb_error error{};
        if (aplomb_character_open(path.c_str(), &options, &opened, &error)) {
            std::printf("!! %s IS LEFT OUT: %s\n", name, error.message);
            return nullptr;
        }
        std::shared_ptr<aplomb_character> character(opened, aplomb_character_close);
        Actor& actor = add(name, character, aplomb_character_figure(opened));
        if (path.extension() == ".bvh") {
            std::vector<double> times(64);
            const int32_t count = aplomb_character_key_times(opened, 0, times.data(), 64);
            for (int32_t i = 0; i < std::min(count, 64); ++i)
                actor.bases.push_back(pose_of(opened, actor, 0, times[static_cast<size_t>(i)]));
        } else if (path.stem() == "fox") {
            actor.bases.push_back(pose_of(opened, actor, -1, 0));
        }
        return &actor;
    }
    static BasePose pose_of(const aplomb_character* character, const Actor& actor, int32_t clip,
                            double time) {
        const size_t count = actor.subject->bones.joints.size();
        BasePose pose{std::vector<double>(3 * count), std::vector<double>(4 * count)};
        aplomb_character_pose(character, clip, time, pose.translations.data(), pose.rotations.data(),
                              nullptr);
        return pose;
    }
#endif

    std::unique_ptr<own::Company> company_;
    std::vector<Actor> actors_;
};

} // namespace full_space
