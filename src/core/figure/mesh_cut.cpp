// SPDX-License-Identifier: MIT
#include "figure/mesh_cut.h"

#include <algorithm>

#include "base/scratch.h"

namespace aplomb {
namespace {

/// A sum of places, each with its weight.
struct Mean {
    Vec3 sum;
    double weight = 0;

    void add(const Vec3& place, double part) {
        sum += place * part;
        weight += part;
    }
    Mean& operator+=(const Mean& other) {
        sum += other.sum;
        weight += other.weight;
        return *this;
    }
    Vec3 place() const { return sum / weight; }
};

/// An edge of the mesh between two segments, cut at `place`.
struct CutEdge {
    MeshEdge edge;
    Vec3 place;
    int32_t loop, net; // parents in union-find forests: of edges of one cut, of edges of cuts
                       // that join; a root is the first edge of its set
    Mean cut, joins;   // bits of cut and joins at this edge; in the end, at a root, those of its set
};

int32_t root(CutEdge* cuts, int32_t CutEdge::*parent, int32_t i) {
    while (cuts[i].*parent != i) {
        cuts[i].*parent = cuts[cuts[i].*parent].*parent; // shortens the path for the next call
        i = cuts[i].*parent;
    }
    return i;
}

/// The edge with the lower index becomes the root.
void unite(CutEdge* cuts, int32_t CutEdge::*parent, int32_t a, int32_t b) {
    a = root(cuts, parent, a), b = root(cuts, parent, b);
    const int32_t top = std::min(a, b);
    cuts[a].*parent = cuts[b].*parent = top;
}

struct Corner {
    Vec3 place;
    int32_t vertex, owner;
};

struct Triangle {
    Corner corner[3];
    int segments; // 1 to 3

    bool differ(int a, int b) const { return corner[a].owner != corner[b].owner; }
};

class Cutter {
public:
    Cutter(const WeldedMesh& mesh, const SkinOwners& owners, CutEdge* cuts)
        : mesh_(mesh), owners_(owners), cuts_(cuts) {}

    void find_cuts() {
        for_each_mixed_edge(mesh_, owners_, [&](const MeshEdge& edge) {
            cuts_[count_] = {edge, place_of_cut(edge), count_, count_, {}, {}};
            ++count_;
        });
        for (int32_t i = 0; i < mesh_.triangle_count; ++i)
            join(triangle(i));
        for (int32_t i = 0; i < count_; ++i) {
            CutEdge& cut = cuts_[i];
            cut.loop = root(cuts_, &CutEdge::loop, i), cut.net = root(cuts_, &CutEdge::net, i);
            if (cut.loop != i) cuts_[cut.loop].cut += cut.cut;
            if (cut.net != i) cuts_[cut.net].joins += cut.joins;
        }
    }

    void share(VolumeMoments* pieces) const {
        for (int32_t i = 0; i < mesh_.triangle_count; ++i) {
            const Triangle t = triangle(i);
            if (t.segments == 1)
                pieces[t.corner[0].owner].add(t.corner[0].place, t.corner[1].place, t.corner[2].place);
            else if (t.segments == 2)
                share_two(t, pieces);
            else
                share_three(t, pieces);
        }
    }

    template<class Use>
    static void for_each_mixed_edge(const WeldedMesh& mesh, const SkinOwners& owners, Use use) {
        const MeshEdge* const end = mesh.edges + 3 * static_cast<size_t>(mesh.triangle_count);
        for (const MeshEdge* edge = mesh.edges; edge != end; ++edge) {
            if (edge != mesh.edges && is_same(edge[-1], *edge)) continue;
            if (owners.owner(edge->low) != owners.owner(edge->high)) use(*edge);
        }
    }

private:
    /// Where the weights of the two segments are equal along the edge.
    Vec3 place_of_cut(const MeshEdge& edge) const {
        const int32_t a = owners_.owner(edge.low), b = owners_.owner(edge.high);
        const double ahead = owners_.weight(edge.low, a) - owners_.weight(edge.low, b);
        const double behind = owners_.weight(edge.high, b) - owners_.weight(edge.high, a);
        const double sum = ahead + behind, part = sum > 0 ? ahead / sum : 0.5;
        const Vec3 &low = mesh_.places[edge.low], &high = mesh_.places[edge.high];
        return low + (high - low) * part;
    }

    /// With two segments, the corner that is alone in its segment comes first.
    Triangle triangle(int32_t index) const {
        const int32_t* vertices = mesh_.triangles + 3 * static_cast<size_t>(index);
        Triangle t;
        for (int k = 0; k < 3; ++k)
            t.corner[k] = {mesh_.places[vertices[k]], vertices[k], owners_.owner(vertices[k])};
        const int differences = t.differ(0, 1) + t.differ(1, 2) + t.differ(2, 0);
        t.segments = std::max(1, differences);
        for (int k = 0; differences == 2 && k < 2 && t.differ(1, 2); ++k)
            std::rotate(t.corner, t.corner + 1, t.corner + 3);
        return t;
    }

    int32_t cut_between(const Corner& a, const Corner& b) const {
        const MeshEdge edge = {std::min(a.vertex, b.vertex), std::max(a.vertex, b.vertex), true};
        const auto before = [](const CutEdge& cut, const MeshEdge& e) { return is_before(cut.edge, e); };
        return static_cast<int32_t>(std::lower_bound(cuts_, cuts_ + count_, edge, before) - cuts_);
    }

    Vec3 middle_of(const int32_t* cuts) const {
        return (cuts_[cuts[0]].place + cuts_[cuts[1]].place + cuts_[cuts[2]].place) / 3;
    }

    void add_bit(int32_t cut, const Vec3& from, const Vec3& to) {
        constexpr double not_nothing = 1e-200; // a cut of length 0 has a centre too
        cuts_[cut].cut.add((from + to) * 0.5, norm(to - from) + not_nothing);
    }

    void join(const Triangle& t) {
        if (t.segments == 2) {
            const int32_t a = cut_between(t.corner[0], t.corner[1]),
                          b = cut_between(t.corner[0], t.corner[2]);
            unite(cuts_, &CutEdge::loop, a, b);
            unite(cuts_, &CutEdge::net, a, b);
            add_bit(a, cuts_[a].place, cuts_[b].place);
        } else if (t.segments == 3) {
            int32_t cuts[3];
            for (int k = 0; k < 3; ++k)
                cuts[k] = cut_between(t.corner[k], t.corner[(k + 1) % 3]);
            const Vec3 middle = middle_of(cuts);
            for (int k = 0; k < 3; ++k) {
                unite(cuts_, &CutEdge::net, cuts[0], cuts[k]);
                add_bit(cuts[k], cuts_[cuts[k]].place, middle);
            }
            cuts_[cuts[0]].joins.add(middle, 1);
        }
    }

    /// Closes a piece along the bit of its edge that runs from `from` to `to`.
    void cap(int32_t cut, const Vec3& from, const Vec3& to, VolumeMoments& piece) const {
        const Vec3 centre = cuts_[cuts_[cut].loop].cut.place();
        piece.add(to, from, centre);
        const Mean& joins = cuts_[cuts_[cut].net].joins;
        if (joins.weight == 0) return;
        piece.add(centre, from, joins.place());
        piece.add(to, centre, joins.place());
    }

    void share_two(const Triangle& t, VolumeMoments* pieces) const {
        const Corner &lone = t.corner[0], &next = t.corner[1], &last = t.corner[2];
        const int32_t a = cut_between(lone, next), b = cut_between(lone, last);
        const Vec3 &to_next = cuts_[a].place, &to_last = cuts_[b].place;
        pieces[lone.owner].add(lone.place, to_next, to_last);
        cap(a, to_next, to_last, pieces[lone.owner]);
        pieces[next.owner].add(to_next, next.place, last.place);
        pieces[next.owner].add(to_next, last.place, to_last);
        cap(a, to_last, to_next, pieces[next.owner]);
    }

    void share_three(const Triangle& t, VolumeMoments* pieces) const {
        int32_t cuts[3];
        for (int k = 0; k < 3; ++k)
            cuts[k] = cut_between(t.corner[k], t.corner[(k + 1) % 3]);
        const Vec3 middle = middle_of(cuts);
        for (int k = 0; k < 3; ++k) {
            const int32_t next = cuts[k], last = cuts[(k + 2) % 3];
            VolumeMoments& piece = pieces[t.corner[k].owner];
            piece.add(t.corner[k].place, cuts_[next].place, middle);
            piece.add(t.corner[k].place, middle, cuts_[last].place);
            cap(next, cuts_[next].place, middle, piece);
            cap(last, middle, cuts_[last].place, piece);
        }
    }

    const WeldedMesh& mesh_;
    const SkinOwners& owners_;
    CutEdge* cuts_;
    int32_t count_ = 0;
};

} // namespace

double SkinOwners::weight(int32_t vertex, int32_t segment) const {
    double sum = 0;
    for (size_t k = 4 * static_cast<size_t>(vertex), end = k + 4; k < end; ++k)
        if (skin_.joints[k] >= 0 && segment_[skin_.joints[k]] == segment) sum += skin_.weights[k];
    return sum;
}

int32_t SkinOwners::owner(int32_t vertex) const {
    int32_t best = -1;
    double largest = -1;
    for (size_t k = 4 * static_cast<size_t>(vertex), end = k + 4; k < end; ++k) {
        if (skin_.joints[k] < 0) continue;
        const int32_t segment = segment_[skin_.joints[k]];
        const double own = weight(vertex, segment);
        if (own > largest || (own == largest && segment < best)) best = segment, largest = own;
    }
    return best;
}

aplomb_status cut_into_pieces(const WeldedMesh& mesh, const SkinOwners& owners,
                              const aplomb_allocator& allocator, VolumeMoments* pieces, aplomb_error* error) {
    size_t count = 0;
    Cutter::for_each_mixed_edge(mesh, owners, [&](const MeshEdge&) { ++count; });
    const auto lay_out = [&](Layout& layout) { return layout.take<CutEdge>(count); };
    ScratchBlock block(allocator, lay_out);
    if (!block) return block.refused(error);
    Layout layout = block.layout();
    Cutter cutter(mesh, owners, lay_out(layout));
    cutter.find_cuts();
    cutter.share(pieces);
    return APLOMB_OK;
}

} // namespace aplomb
