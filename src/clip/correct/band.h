// SPDX-License-Identifier: MIT
// Symmetric positive definite matrices of one block per frame, with couplings to the next two frames; a ring couples
// the last frames to the first, too. Cholesky factor in place. The last two frames of a ring are eliminated last, with
// a border from every other frame. A long row is eliminated from both ends, which two threads can do at once, and its
// two middle frames last.
#pragma once

#include "base/block.h"
#include "clip/correct/tasks.h"

namespace aplomb {

class Band {
public:
    /// A ring has 3 frames at least.
    void lay_out(Layout& layout, int frames, int size, bool ring, const Tasks& tasks);
    void clear(int frame);

    /// Where the elements of a block are. In a frame's own block only the lower half counts; a block between two frames
    /// stands for its mirror image, too.
    struct Block {
        double* first;
        int next_row, next_column;

        double& operator()(int row, int column) const { return first[row * next_row + column * next_column]; }
    };
    Block block(int row_frame, int column_frame) const;

    /// False where the matrix is not positive definite.
    bool factor();
    /// `x`: `size` numbers per frame.
    void solve(double* x) const;

private:
    /// The frames that an eliminated frame is coupled to, in the order of their elimination, and their slots below it.
    struct Reach {
        int count = 0, target[4], slot[4];
        void add(int frame, int at) { target[count] = frame, slot[count++] = at; }
    };
    int interior() const { return ring_ ? frames_ - 2 : frames_; }
    bool is_middle(int frame) const { return frame == middle_ || frame == middle_ + 1; }
    bool goes_first(int frame, int other) const;
    Reach reach(int frame) const;
    /// Calls visit(frame) for all frames in the order of their elimination, or backwards; it returns false where it failed.
    template<class Visit>
    bool forward(const Visit& visit) const;
    template<class Visit>
    void back(const Visit& visit) const;
    bool eliminate(int frame);
    double* lower(int frame) const { return below_ + frame * rows_ * size_; }
    double* own(int frame) const { return own_ + frame * area_; }
    /// The block with the rows of the later frame and the columns of the one that is eliminated first.
    double* between(int later, int first) const;

    int frames_ = 0, size_ = 0;
    bool ring_ = false;
    int middle_ = 0; // this frame and the next go last; those after them are eliminated from the end
    Tasks tasks_;
    int area_ = 0;
    int rows_ = 0;            // below each block: two frames, and in a ring the border's two
    double* own_ = nullptr;   // size x size per frame
    double* below_ = nullptr; // rows_ x size per frame: next, next but one, border's first, border's second
};

} // namespace aplomb
