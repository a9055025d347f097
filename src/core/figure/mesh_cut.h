// SPDX-License-Identifier: MIT
// The skin cut into one closed piece per segment.
//
// Every vertex belongs to the segment with its largest weight. A triangle whose corners belong to different
// segments is divided where the two weights are equal along its edges; where three segments meet in one
// triangle, they meet in its middle. Pieces share the cut, and both close it with the same triangles: from
// every bit of a cut between two segments to the centre of that cut, and where several cuts join, on to the
// middle of the places where they join. Closed pieces have a volume that does not depend on the origin, and
// what a cap gives to one side it takes from the other: the pieces sum to the whole.
#pragma once

#include "figure/mesh_moments.h"
#include "figure/mesh_weld.h"

namespace aplomb {

/// Which segment a vertex belongs to.
class SkinOwners {
public:
    /// `segment`: per joint, the joint whose segment it counts for.
    SkinOwners(const aplomb_skin& skin, const int32_t* segment) : skin_(skin), segment_(segment) {}

    /// The joint with the largest sum of weights; of two that are alike the lower one.
    int32_t owner(int32_t vertex) const;
    double weight(int32_t vertex, int32_t segment) const;

private:
    const aplomb_skin& skin_;
    const int32_t* segment_;
};

/// Adds the pieces' moments about the mesh's own origin; one entry per joint. The mesh must be closed.
aplomb_status cut_into_pieces(const WeldedMesh& mesh, const SkinOwners& owners,
                              const aplomb_allocator& allocator, VolumeMoments* pieces, aplomb_error* error);

} // namespace aplomb
