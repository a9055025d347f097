// SPDX-License-Identifier: MIT
// A character file as the other parts see it, whatever its format.
#pragma once

#include "aplomb/files.h"
#include "base/rotation.h"

#include <limits>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace aplomb::io {

inline constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

struct SkeletonJoint {
    std::string name;
    int parent = -1;
    Vec3 tip = {unknown, unknown, unknown}; // where a last joint's segment ends, own frame
};

/// Per joint, relative to its parent; joint 0 relative to the world.
struct Pose {
    std::vector<Vec3> translations;
    std::vector<Quat> rotations;
};

using FurtherKeys = std::map<int, std::vector<double>>; // seconds, by joint; ascending

struct CorrectedFrame; // corrected_frames.h
struct Skin;           // skin.h

class CharacterFile {
public:
    virtual ~CharacterFile() = default;

    virtual const std::vector<SkeletonJoint>& joints() const = 0;
    virtual int clip_count() const = 0;
    virtual const std::string& clip_name(int clip) const = 0;
    virtual const std::vector<double>& key_times(int clip) const = 0;
    /// Clip -1: the pose of the file without its motion.
    virtual Pose pose(int clip, double seconds) const = 0;
    /// The pose in which the figure is bound to its skin, or without one that of the nodes.
    virtual Pose rest() const { return pose(-1, 0); }
    /// The axes (aplomb_axis) and the name of the standard that the file is bound by; 0 where there is none.
    virtual int standard_up() const { return 0; }
    virtual int standard_forward() const { return 0; }
    virtual std::string standard_name() const { return ""; }
    /// Whether the file shows the figure as in a mirror.
    virtual bool is_mirrored() const { return false; }
    /// Remarks on what of the file is left out.
    virtual std::vector<std::string> remarks() const { return {}; }

    /// The bytes of the file again with these frames in the changed joints, in any order. `target`: where it will lie; none: in
    /// memory, as if beside the old one.
    /// Clip -1 takes one frame. `layer`: the name of a further clip that the changed tracks go into; null: the clip itself.
    virtual std::string rewritten(int clip, const std::vector<CorrectedFrame>& frames,
                                  const std::optional<std::string>& target, const char* layer) const = 0;
    std::string rewritten(int clip, const std::vector<CorrectedFrame>& frames,
                          const std::optional<std::string>& target) const {
        return rewritten(clip, frames, target, nullptr);
    }

    /// Whether the turns of a joint have a key there.
    virtual bool has_turn_key(int clip, int joint, double seconds) const = 0;
    /// The file with these frames on its tracks' own keys and the further ones, and its bytes; `frames` ascend.
    virtual std::unique_ptr<CharacterFile> with_own_keys(int clip, const std::vector<CorrectedFrame>& frames,
                                                         const FurtherKeys& further) const = 0;
    virtual std::string rewritten_on_own_keys(int clip, const std::vector<CorrectedFrame>& frames,
                                              const FurtherKeys& further,
                                              const std::optional<std::string>& target) const = 0;

    /// Null where there is no mesh, or none that is read; why_no_skin then tells in the second case.
    virtual const Skin* skin() const { return nullptr; }
    virtual std::string why_no_skin() const { return ""; }
    virtual int camera_count() const { return 0; }
    /// `camera` is below the count.
    virtual aplomb_camera camera(int /*camera*/, int /*clip*/, double /*seconds*/) const { return {}; }
};

} // namespace aplomb::io
