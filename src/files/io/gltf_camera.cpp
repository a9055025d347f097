// SPDX-License-Identifier: MIT
#include "io/gltf_camera.h"

#include "io/fault.h"

#include <algorithm>

namespace aplomb::io {
namespace {

double positive(const Json& lens, const char* key, const std::string& where) {
    const Json* value = member(lens, key);
    if (value == nullptr || !value->is_number() || !(value->get<double>() > 0) ||
        !std::isfinite(value->get<double>()))
        refuse(where + ": '" + key + "' is not a number above 0");
    return value->get<double>();
}

aplomb_camera read_lens(const Json& json, const std::string& where) {
    aplomb_camera camera{};
    const std::string type = optional_text(json, "type", where);
    const Json* lens = member(json, type.c_str());
    if ((type != "perspective" && type != "orthographic") || lens == nullptr)
        refuse(where + " is neither perspective nor orthographic");
    if (type == "perspective") {
        camera.vertical_angle = positive(*lens, "yfov", where);
        if (member(*lens, "aspectRatio") != nullptr) camera.aspect = positive(*lens, "aspectRatio", where);
    } else {
        // Half of what is seen; some files mirror the picture by a negative sign.
        const auto half = [&](const char* key) {
            const Json* value = member(*lens, key);
            if (value == nullptr || !value->is_number() || !std::isfinite(value->get<double>()) ||
                value->get<double>() == 0)
                refuse(where + ": '" + key + "' is not a number other than 0");
            return std::fabs(value->get<double>());
        };
        camera.height = 2 * half("ymag");
        camera.aspect = half("xmag") / half("ymag");
    }
    return camera;
}

/// Scale and shear above a camera do not turn what it looks at: -Z and +Y decide (section 3.10.2).
Quat looking(const Mat3& axes, const std::string& label) {
    const Vec3 back = axes.column(2);
    if (!(norm(back) > 0)) refuse(label + " has a camera and a scale of zero");
    const Vec3 z = normalized(back), level = reject(axes.column(1), z);
    if (!(norm(level) > 0)) refuse(label + " has a camera and a scale of zero");
    const Vec3 y = normalized(level);
    return to_quat(Mat3::from_columns(cross(y, z), y, z));
}

} // namespace

GltfCameras::GltfCameras(GltfDocument& document, const std::vector<GltfNode>& nodes) {
    std::vector<char> wanted(nodes.size(), 0);
    for (std::size_t i = 0; i < nodes.size(); ++i) {
        const auto index =
            optional_index(document.element("nodes", i), "camera", document.count("cameras"), nodes[i].label);
        if (!index) continue;
        m_cameras.push_back({static_cast<int>(i), read_lens(document.element("cameras", *index),
                                                            "camera " + std::to_string(*index))});
        for (int node = static_cast<int>(i); node >= 0 && !wanted[static_cast<std::size_t>(node)];
             node = nodes[static_cast<std::size_t>(node)].parent)
            wanted[static_cast<std::size_t>(node)] = 1;
    }
    for (std::size_t i = 0; !m_cameras.empty() && i < document.count("animations"); ++i)
        m_clips.push_back(read_clip(document, i, nodes, wanted));
}

aplomb_camera GltfCameras::at(const std::vector<GltfNode>& nodes, int camera, int clip,
                              double seconds) const {
    const Camera& own = m_cameras[static_cast<std::size_t>(camera)];
    Mat3 axes = Mat3::identity();
    Vec3 place;
    for (const int node : path_to(nodes, own.node)) {
        const Clip* moves = clip < 0 ? nullptr : &m_clips[static_cast<std::size_t>(clip)];
        const NodeTransform t = transform_at(nodes[static_cast<std::size_t>(node)], node, moves, seconds);
        place += axes * t.translation;
        axes = axes * to_matrix(t.rotation);
        axes = Mat3::from_columns(axes.column(0) * t.scale.x, axes.column(1) * t.scale.y,
                                  axes.column(2) * t.scale.z);
    }
    const Quat turn = looking(axes, nodes[static_cast<std::size_t>(own.node)].label);
    aplomb_camera result = own.lens;
    const double position[3] = {place.x, place.y, place.z};
    std::copy_n(position, 3, result.position);
    const double rotation[4] = {turn.x, turn.y, turn.z, turn.w};
    std::copy_n(rotation, 4, result.rotation);
    return result;
}

} // namespace aplomb::io
