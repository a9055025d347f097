// SPDX-License-Identifier: MIT
// Everything that a picture needs, worked out once: bodies, postures, forms, views.
#pragma once

#include <string>
#include <vector>

#include "report/scene.h"
#include "report/view.h"

namespace aplomb::report {

/// Path data of a silhouette's outline, and where it was drawn.
struct DrawnOutline {
    Placement placement;
    Frame frame;
    std::string path;
};

/// One of BEFORE and AFTER.
struct Half {
    std::string heading, caption, id;
    const aplomb_reading* reading = nullptr;
    Posture posture;
    std::vector<Form> body, loads;
    std::vector<Vec3> skin; // where the mesh's vertices are; empty: drawn as a lay figure
    Vec3 middle;            // of the body
    // Silhouettes drawn so far: the view of the other half, in the same place, shows the keyed one again.
    mutable std::vector<DrawnOutline> outlines;
};

enum ViewName { front_view, side_view, top_view, view_count };

struct Drawing {
    const aplomb_picture* picture = nullptr;
    Body body;
    std::vector<aplomb_contact> contacts;
    Half before, after;
    bool has_after = false;
    bool lines = false;     // pelvis line, shoulder line and line of action are drawn
    bool from_left = false; // side from which the side view looks
    View views[view_count];
    Placement camera;        // the file's own, its page place and scale still to be set
    Vec3 left, up, forward;  // as the hips face in the keyed pose
    Vec3 down;               // along gravity
    double ground = 0;       // height of the ground line, metres
    double finest = 0.25;    // cells of silhouettes, page units
    double tolerance = 0.05; // of the lay figure's curves, page units; finer than a printer's dot
    double words = 10.5;     // size of the words in a view, page units

    bool small() const { return body.stature < 0.3; }
    /// "4.2 cm"; small figures in millimetres, giants in metres.
    std::string length(double metres) const {
        if (body.stature > 10) return fixed(metres, 2) + " m";
        return small() ? fixed(1000 * metres, 1) + " mm" : fixed(100 * metres, 1) + " cm";
    }
    std::string signed_length(double metres) const { return (metres < 0 ? "" : "+") + length(metres); }
    /// Where on the ground the line along gravity through a point arrives.
    Vec3 on_ground(const Vec3& point) const {
        return point + down * ((ground - point.y) / (std::fabs(down.y) > 0.01 ? down.y : -1.0));
    }
};

/// The picture has been checked.
Drawing make_drawing(const aplomb_picture& picture);

} // namespace aplomb::report
