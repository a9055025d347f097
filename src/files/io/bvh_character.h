// SPDX-License-Identifier: MIT
// A BVH file as a character with one clip, "motion".
#pragma once

#include "io/bvh_read.h"
#include "io/character_file.h"

#include <memory>
#include <string>

namespace aplomb::io {

class BvhCharacter final : public CharacterFile {
public:
    explicit BvhCharacter(std::string bytes);

    const std::vector<SkeletonJoint>& joints() const override { return m_joints; }
    int clip_count() const override { return m_file.frame_count > 0 ? 1 : 0; }
    const std::string& clip_name(int) const override { return m_name; }
    const std::vector<double>& key_times(int) const override { return m_times; }
    /// Between two frames: rotations along the shorter arc.
    Pose pose(int clip, double seconds) const override;
    using CharacterFile::rewritten;
    std::string rewritten(int clip, const std::vector<CorrectedFrame>& frames,
                          const std::optional<std::string>& target, const char* layer) const override;
    bool has_turn_key(int clip, int joint, double seconds) const override;
    /// Refused: a BVH has a value in every frame.
    std::unique_ptr<CharacterFile> with_own_keys(int clip, const std::vector<CorrectedFrame>& frames,
                                                 const FurtherKeys& further) const override;
    std::string rewritten_on_own_keys(int clip, const std::vector<CorrectedFrame>& frames,
                                      const FurtherKeys& further,
                                      const std::optional<std::string>& target) const override;

private:
    /// A moment as a frame number, which need not be whole.
    double frame_at(double seconds) const;

    BvhFile m_file;
    std::vector<SkeletonJoint> m_joints;
    std::vector<double> m_times;
    std::string m_name = "motion";
};

} // namespace aplomb::io
