// SPDX-License-Identifier: MIT
// The beekeeper out of beekeeper.glb: keyed poses, things to carry, and scenes. A scene is one pose under its
// loads, read, corrected and skinned, ready to be drawn.
#pragma once

#include <aplomb/aplomb.hpp>
#include <aplomb/files.h>

#include <deque>
#include <memory>
#include <string>
#include <vector>

namespace sheets {

/// A pose with all that a picture of it points at. It stays in place for as long as the beekeeper lives.
struct Scene {
    aplomb::Pose keyed, corrected; // `corrected` is empty where the keyed pose is shown as it is
    std::vector<double> keyed_skin, corrected_skin;
    std::vector<aplomb_load> loads;
    std::vector<aplomb_contact> contacts;
    aplomb_status status = APLOMB_OK;
    aplomb_situation situation{};
    aplomb_reading before{}, after{}; // `after` is of the corrected pose
    aplomb_result result{};
    aplomb_picture picture{};
};

class Beekeeper {
public:
    /// Throws aplomb::Error where the file cannot be read.
    explicit Beekeeper(const std::string& path);

    double mass() const { return info_.total_mass; }

    aplomb::Pose pose(const std::string& clip) const;
    /// Part of the way from one pose to another: 0 the first, 1 the second.
    aplomb::Pose between(const aplomb::Pose& from, const aplomb::Pose& to, double part) const;

    aplomb_load box(double mass) const;    ///< between both hands
    aplomb_load bucket(double mass) const; ///< hangs from the right hand
    aplomb_load hive(double mass) const;   ///< on a frame on the back

    /// The pose as it is keyed.
    const Scene& keyed(const aplomb::Pose& pose, const std::vector<aplomb_load>& loads);
    /// The pose and its correction.
    const Scene& balanced(const aplomb::Pose& pose, const std::vector<aplomb_load>& loads,
                          const aplomb_options& options = aplomb::options());
    /// The corrected pose of a scene, alone, as if it had been keyed so; its loads are kept.
    const Scene& settled(const Scene& scene);
    /// The corrected pose of a scene, its loads taken away.
    const Scene& unloaded(const Scene& scene);

    /// A page with all views, the camera's too, and all numbers of a balanced scene.
    void write_page(const Scene& scene, const std::string& title, const std::string& path) const;

private:
    struct Close {
        void operator()(aplomb_character* character) const { aplomb_character_close(character); }
        void operator()(aplomb_solver* solver) const { aplomb_solver_destroy(solver); }
    };
    int32_t hand(aplomb_side side) const;
    std::vector<double> skin(const aplomb::Pose& pose) const;
    Scene& add(const aplomb::Pose& pose, const std::vector<aplomb_load>& loads);

    std::unique_ptr<aplomb_character, Close> character_;
    std::unique_ptr<aplomb_solver, Close> solver_;
    const aplomb_figure* figure_ = nullptr; // the character's
    aplomb_figure_info info_{};
    aplomb_mesh mesh_{};
    aplomb_camera camera_{};
    std::deque<Scene> scenes_; // addresses must not change
};

} // namespace sheets
