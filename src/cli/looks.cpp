// SPDX-License-Identifier: MIT
#include "cli/looks.h"

#include "cli/failure.h"

namespace aplomb::cli {
namespace {

void put_on(const Character& character, const aplomb_mesh& mesh, aplomb_drawn_pose& pose,
            std::vector<double>& positions) {
    positions.resize(3 * static_cast<size_t>(mesh.vertex_count));
    aplomb_error error{};
    check(aplomb_character_skin(character.handle(), pose.translations, pose.rotations, positions.data(),
                                &error),
          error);
    pose.skin = positions.data();
}

} // namespace

Looks::Looks(const Character& character, const Moment& moment, bool wanted) {
    if (!wanted) return;
    aplomb_mesh mesh;
    // A file without a skin is drawn as a lay figure.
    if (aplomb_character_mesh(character.handle(), &mesh, nullptr) == APLOMB_OK) m_mesh = mesh;
    if (aplomb_character_camera_count(character.handle()) == 0) return;
    aplomb_error error{};
    check(aplomb_character_camera(character.handle(), 0, moment.clip, moment.seconds, &m_camera.emplace(),
                                  &error),
          error);
}

void Looks::dress(const Character& character, aplomb_picture& picture) {
    if (m_camera) picture.camera = &*m_camera;
    if (!m_mesh) return;
    picture.mesh = &*m_mesh;
    put_on(character, *m_mesh, picture.before, m_before);
    if (picture.after.translations != nullptr) put_on(character, *m_mesh, picture.after, m_after);
}

} // namespace aplomb::cli
