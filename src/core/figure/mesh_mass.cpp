// SPDX-License-Identifier: MIT
// One density for the whole body, water's where no total is given: common practice.
#include "figure/mesh_mass.h"

#include <algorithm>

#include "base/scratch.h"
#include "figure/description.h"
#include "figure/foot_shape.h"
#include "figure/mass_tables.h"
#include "figure/mesh_cut.h"

namespace aplomb {
namespace {

constexpr double water = 1000; // kg/m^3
// Of the head's part in a grown man: above it a table's body is no fair guess. Common practice; about 6 heads of stature.
constexpr double big_head = 2;
constexpr double heavy_tail =
    0.05; // of the body: what weighs up a trunk that lies; the table gives it less than half

struct Segments {
    int32_t owner[max_joints]; // per joint: the joint whose segment its skin counts for
    VolumeMoments piece[max_joints];
    VolumeMoments whole;
};

/// Helpers and props ride with their parent; what is above the hips counts for the hips.
int32_t owner_of(const Figure& figure, int32_t joint) {
    const auto rides = [&](int32_t j) {
        const aplomb_role role = figure.joints[j].role;
        return role == APLOMB_ROLE_HELPER || role == APLOMB_ROLE_PROP;
    };
    while (joint >= 0 && rides(joint))
        joint = figure.joints[joint].carrier;
    return joint < 0 || figure.joints[joint].role == APLOMB_ROLE_ROOT ? figure.hips : joint;
}

class SkinMasses {
public:
    SkinMasses(Draft& draft, Segments& segments, bool speak)
        : draft_(draft), segments_(segments), speak_(speak) {}

    aplomb_status measure(bool* usable, aplomb_error* error) {
        const Figure& figure = draft_.figure;
        const aplomb_skin& skin = *draft_.desc.skin;
        WeldedMesh mesh;
        const auto lay_out = [&](Layout& layout) { mesh.lay_out(layout, skin); };
        ScratchBlock block(figure.allocator, lay_out);
        if (!block) return block.refused(error);
        Layout layout = block.layout();
        lay_out(layout);
        mesh.fill(skin, figure.frame);
        for (int32_t j = 0; j < figure.joint_count; ++j)
            segments_.owner[j] = owner_of(figure, j);
        const SkinOwners owners(skin, segments_.owner);
        if (!is_closed(mesh, owners)) return APLOMB_OK;
        const aplomb_status status = cut_into_pieces(mesh, owners, figure.allocator, segments_.piece, error);
        if (status) return status;
        origin_ = mesh.origin;
        *usable = are_solid();
        return APLOMB_OK;
    }

    /// The part of the volume that belongs to joints of a role.
    double part_of(aplomb_role role) const {
        double sum = 0;
        for (int32_t j = 0; j < draft_.figure.joint_count; ++j)
            if (draft_.figure.joints[j].role == role) sum += segments_.piece[j].volume;
        return sum / segments_.whole.volume;
    }

    void take() {
        Figure& figure = draft_.figure;
        const double asked = draft_.desc.total_mass;
        figure.total_mass = asked > 0 ? asked : water * segments_.whole.volume;
        if (!(asked > 0))
            draft_.remark(
                "The body's mass, %.*g kg, is the skin's volume at water's density (common practice).",
                mass_digits(figure.total_mass), figure.total_mass);
        figure.mass_source = "from the skin, at one density";
        for (int32_t j = 0; j < figure.joint_count; ++j)
            take_joint(j, figure.total_mass / segments_.whole.volume);
    }

private:
    const char* name(int32_t joint) const { return draft_.figure.joints[joint].name; }

    bool is_closed(const WeldedMesh& mesh, const SkinOwners& owners) {
        if (mesh.triangle_count == 0) {
            if (speak_) draft_.remark("Masses are from a table: the skin has no triangles.");
            return false;
        }
        const OpenEdges open = open_edges(mesh);
        if (open.count == 0) return true;
        const int32_t joint = owners.owner(open.vertex);
        if (speak_)
            draft_.remark(
                "Masses are from a table: the skin is not closed; %d edges have no partner, the first "
                "at joint %d (%.64s).",
                open.count, joint, name(joint));
        return false;
    }

    bool are_solid() {
        for (int32_t j = 0; j < draft_.figure.joint_count; ++j)
            segments_.whole += segments_.piece[j];
        if (!segments_.whole.is_solid()) {
            if (speak_)
                draft_.remark(
                    "Masses are from a table: the skin is inside out, its volume comes out as %.3g m3.",
                    segments_.whole.volume);
            return false;
        }
        for (int32_t j = 0; j < draft_.figure.joint_count; ++j) {
            const VolumeMoments& piece = segments_.piece[j];
            if (piece.volume == 0 || piece.is_solid()) continue;
            if (speak_)
                draft_.remark(
                    "Masses are from a table: the skin of joint %d (%.64s) is inside out, its volume "
                    "comes out as %.3g m3.",
                    j, name(j), piece.volume);
            return false;
        }
        return true;
    }

    void take_joint(int32_t j, double density) {
        Joint& joint = draft_.figure.joints[j];
        const VolumeMoments& piece = segments_.piece[j];
        joint.mass = 0, joint.centre = {}, joint.inertia = {};
        joint.mass_origin = APLOMB_ORIGIN_SHAPE;
        if (piece.volume == 0) return;
        const Placement& rest = draft_.rest[j];
        const Mat3 own = transpose(to_matrix(rest.rotation));
        const Mat3 inertia = own * piece.inertia() * transpose(own) * density;
        joint.mass = density * piece.volume;
        joint.centre = to_local(rest, origin_ + piece.centre());
        joint.inertia = {inertia.row[0].x, inertia.row[1].y, inertia.row[2].z,
                         inertia.row[0].y, inertia.row[0].z, inertia.row[1].z};
    }

    Draft& draft_;
    Segments& segments_;
    bool speak_; // whether to remark on why the skin cannot be used
    Vec3 origin_;
};

} // namespace

aplomb_status take_skin_masses(Draft& draft, bool* taken, aplomb_error* error) {
    *taken = false;
    const bool asked = draft.desc.mass_table == APLOMB_MASS_SKIN, four_footed = is_quadruped(draft.figure);
    if (!asked && draft.desc.mass_table != APLOMB_MASS_DE_LEVA_MALE) return APLOMB_OK;
    if (!draft.desc.skin) {
        if (asked) draft.remark("Masses are from a table: there is no skin.");
        return APLOMB_OK;
    }
    ScratchObject<Segments> segments(draft.figure.allocator);
    if (!segments) return segments.refused(error);
    SkinMasses masses(draft, *segments, asked || four_footed);
    bool usable = false;
    if (const auto s = masses.measure(&usable, error)) return s;
    if (!usable) return APLOMB_OK;
    const double table = mass_table(APLOMB_MASS_DE_LEVA_MALE).head.mass;
    if (!asked && !four_footed) {
        const double head = masses.part_of(APLOMB_ROLE_HEAD) + masses.part_of(APLOMB_ROLE_NECK),
                     tail = masses.part_of(APLOMB_ROLE_TAIL);
        if (head < big_head * table && tail < heavy_tail) return APLOMB_OK;
        if (head >= big_head * table)
            draft.remark(
                "Masses are from the skin: head and neck have %.0f %% of its volume, of a grown man's mass "
                "%.0f %%.",
                100 * head, 100 * table);
        else
            draft.remark("Masses are from the skin: the tail has %.0f %% of its volume.", 100 * tail);
    }
    masses.take();
    *taken = true;
    return APLOMB_OK;
}

} // namespace aplomb
