// SPDX-License-Identifier: MIT
#include "sheets/beekeeper.h"

#include <cmath>

namespace sheets {

using aplomb::check;
using aplomb::Pose;

Beekeeper::Beekeeper(const std::string& path) {
    aplomb_error error{};
    aplomb_character* character = nullptr;
    check(aplomb_character_open(path.c_str(), nullptr, &character, &error), error);
    character_.reset(character);
    figure_ = aplomb_character_figure(character);
    aplomb_solver* solver = nullptr;
    check(aplomb_solver_create(figure_, nullptr, &solver, &error), error);
    solver_.reset(solver);
    aplomb_figure_info_init(&info_, sizeof info_);
    check(aplomb_figure_describe(figure_, &info_, &error), error);
    check(aplomb_character_mesh(character, &mesh_, &error), error);
    check(aplomb_character_camera(character, 0, -1, 0, &camera_, &error), error);
}

Pose Beekeeper::pose(const std::string& clip) const {
    Pose pose(info_.joint_count);
    aplomb_error error{};
    const int32_t number = aplomb_character_find_clip(character_.get(), clip.c_str());
    if (number < 0) throw std::runtime_error("beekeeper.glb has no pose '" + clip + "'");
    check(aplomb_character_pose(character_.get(), number, 0, pose.translations.data(), pose.rotations.data(),
                                &error),
          error);
    return pose;
}

Pose Beekeeper::between(const Pose& from, const Pose& to, double part) const {
    Pose mixed = from;
    for (size_t i = 0; i < mixed.translations.size(); ++i)
        mixed.translations[i] += part * (to.translations[i] - from.translations[i]);
    for (size_t i = 0; i < mixed.rotations.size(); i += 4) {
        const double *a = &from.rotations[i], *b = &to.rotations[i];
        const double along = a[0] * b[0] + a[1] * b[1] + a[2] * b[2] + a[3] * b[3];
        const double sign = along < 0 ? -1 : 1; // q and -q are the same turn
        double size = 0;
        for (size_t k = 0; k < 4; ++k) {
            mixed.rotations[i + k] = (1 - part) * a[k] + part * sign * b[k];
            size = std::hypot(size, mixed.rotations[i + k]);
        }
        for (size_t k = 0; k < 4; ++k)
            mixed.rotations[i + k] /= size;
    }
    return mixed;
}

int32_t Beekeeper::hand(aplomb_side side) const {
    return aplomb_figure_find_role(figure_, APLOMB_ROLE_HAND, side);
}

// Where the middle of a load is, in metres from what holds it: left, up, forward.

aplomb_load Beekeeper::box(double mass) const {
    aplomb_load load = aplomb_load_make(mass, hand(APLOMB_SIDE_LEFT));
    load.holder[1] = hand(APLOMB_SIDE_RIGHT);
    load.offset[1] = 0.03, load.offset[2] = 0.06;
    return load;
}

aplomb_load Beekeeper::bucket(double mass) const {
    aplomb_load load = aplomb_load_make(mass, hand(APLOMB_SIDE_RIGHT));
    load.hanging = 1, load.hang = 0.38;
    return load;
}

aplomb_load Beekeeper::hive(double mass) const {
    aplomb_load load = aplomb_load_make(mass, info_.chest);
    const double depth = std::cbrt(mass / 700), back = 0.125; // a cube as the picture draws it, on the back
    load.offset[1] = 0.05, load.offset[2] = -back - 0.5 * depth;
    return load;
}

std::vector<double> Beekeeper::skin(const Pose& pose) const {
    std::vector<double> positions(3 * static_cast<size_t>(mesh_.vertex_count));
    aplomb_error error{};
    check(aplomb_character_skin(character_.get(), pose.translations.data(), pose.rotations.data(),
                                positions.data(), &error),
          error);
    return positions;
}

/// A scene whose picture shows the pose as it is keyed.
Scene& Beekeeper::add(const Pose& pose, const std::vector<aplomb_load>& loads) {
    Scene& scene = scenes_.emplace_back();
    scene.keyed = pose;
    scene.loads = loads;
    aplomb_error error{};
    scene.contacts.resize(APLOMB_MAX_CONTACTS);
    const int32_t count = aplomb_stance_default(figure_, pose.translations.data(), pose.rotations.data(),
                                                scene.contacts.data(), &error);
    if (count < 0) throw aplomb::Error(error);
    scene.contacts.resize(static_cast<size_t>(count));
    scene.situation = aplomb::situation(scene.keyed, scene.loads, scene.contacts);
    aplomb_reading_init(&scene.before, sizeof scene.before);
    check(aplomb_read(solver_.get(), &scene.situation, nullptr, &scene.before, &error), error);
    scene.keyed_skin = skin(pose);

    aplomb_picture& picture = scene.picture;
    aplomb_picture_init(&picture, sizeof picture);
    picture.figure = figure_;
    picture.situation = &scene.situation;
    picture.mesh = &mesh_;
    picture.camera = &camera_;
    picture.before = {scene.keyed.translations.data(), scene.keyed.rotations.data(), &scene.before,
                      "As keyed", scene.keyed_skin.data()};
    return scene;
}

const Scene& Beekeeper::keyed(const Pose& pose, const std::vector<aplomb_load>& loads) {
    return add(pose, loads);
}

const Scene& Beekeeper::balanced(const Pose& pose, const std::vector<aplomb_load>& loads,
                                 const aplomb_options& options) {
    Scene& scene = add(pose, loads);
    aplomb_error error{};
    scene.corrected = Pose(info_.joint_count);
    double *translations = scene.corrected.translations.data(), *rotations = scene.corrected.rotations.data();
    aplomb_result_init(&scene.result, sizeof scene.result);
    scene.status = check(aplomb_balance(solver_.get(), &scene.situation, &options, translations, rotations,
                                        &scene.result, &error),
                         error);
    aplomb_reading_init(&scene.after, sizeof scene.after);
    check(aplomb_read_corrected(solver_.get(), &scene.situation, &options, translations, rotations,
                                &scene.result, &scene.after, &error),
          error);
    scene.corrected_skin = skin(scene.corrected);
    scene.picture.after = {translations, rotations, &scene.after, "Balanced", scene.corrected_skin.data()};
    scene.picture.result = &scene.result;
    return scene;
}

const Scene& Beekeeper::settled(const Scene& scene) {
    Scene& shown = scenes_.emplace_back();
    shown.before = scene.after;
    shown.picture = scene.picture; // loads ride along with the correction of that scene
    shown.picture.before = scene.picture.after;
    shown.picture.after = {};
    shown.picture.result = nullptr;
    return shown;
}

const Scene& Beekeeper::unloaded(const Scene& scene) {
    return add(scene.corrected, {});
}

void Beekeeper::write_page(const Scene& scene, const std::string& title, const std::string& path) const {
    const int32_t length = aplomb_explain(figure_, &scene.result, nullptr, 0);
    std::string text(static_cast<size_t>(length) + 1, '\0');
    aplomb_explain(figure_, &scene.result, text.data(), text.size());
    aplomb_picture picture = scene.picture;
    picture.title = title.c_str();
    picture.text = text.c_str();
    aplomb_error error{};
    check(aplomb_page_write(&picture, path.c_str(), &error), error);
}

} // namespace sheets
