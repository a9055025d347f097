// SPDX-License-Identifier: MIT
// Symmetric positive definite matrices of one block per frame, with couplings to the next two frames; a ring couples
// the last frames to the first, too. Cholesky factor in place. The last two frames of a ring are eliminated last, with
// a border from every other frame.
#pragma once

#include "base/block.h"

namespace aplomb {

class Band {
public:
    /// A ring has 3 frames at least.
    void lay_out(Layout& layout, int frames, int size, bool ring);
    void clear();

    /// Where the elements of two frames' block are: of one frame's own block the lower half counts, of two the block and
    /// its mirror image are one.
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
    int interior() const { return ring_ ? frames_ - 2 : frames_; }
    double* lower(int frame) const { return below_ + frame * rows_ * size_; }
    double* own(int frame) const { return own_ + frame * area_; }
    double* between(int later, int earlier) const;

    int frames_ = 0, size_ = 0;
    bool ring_ = false;
    int area_ = 0;
    int rows_ = 0;            // below each block: two frames, and in a ring the border's two
    double* own_ = nullptr;   // size x size per frame
    double* below_ = nullptr; // rows_ x size per frame: next, next but one, border's first, border's second
};

} // namespace aplomb
