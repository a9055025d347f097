// SPDX-License-Identifier: MIT
// Working memory of one call, from the caller's allocator: arrays that are laid out twice.
#pragma once

#include "base/block.h"
#include "base/error.h"

namespace aplomb {

/// `lay_out(Layout&)` takes the arrays: the constructor calls it to learn their size, the caller once more, on layout(), to
/// get them.
class ScratchBlock {
public:
    template<class LayOut>
    ScratchBlock(const aplomb_allocator& allocator, LayOut lay_out) : allocator_(allocator) {
        Layout measure;
        lay_out(measure);
        size_ = measure.used() + 1; // allocators may return NULL for nothing
        memory_ = allocator.allocate(size_, alignof(std::max_align_t), allocator.user);
    }
    ScratchBlock(const ScratchBlock&) = delete;
    ScratchBlock& operator=(const ScratchBlock&) = delete;
    ~ScratchBlock() {
        if (memory_) allocator_.deallocate(memory_, size_, allocator_.user);
    }
    explicit operator bool() const { return memory_ != nullptr; }
    Layout layout() const { return Layout(memory_); }
    aplomb_status refused(aplomb_error* error) const {
        return fail(error, APLOMB_OUT_OF_MEMORY, "allocator", -1,
                    "The allocator returned NULL for %zu bytes.", size_);
    }

private:
    aplomb_allocator allocator_;
    size_t size_ = 0;
    void* memory_ = nullptr;
};

} // namespace aplomb
