// SPDX-License-Identifier: MIT
// Working memory of one build step, from the figure's allocator: too large for small stacks (WebAssembly's).
#pragma once

#include <new>

#include "base/scratch_block.h"

namespace aplomb {

/// A value-initialised T, or nothing where the allocator has no memory.
template<class T>
class ScratchObject {
public:
    explicit ScratchObject(const aplomb_allocator& allocator)
        : allocator_(allocator), memory_(allocator.allocate(sizeof(T), alignof(T), allocator.user)) {
        if (memory_) item_ = new (memory_) T();
    }
    ScratchObject(const ScratchObject&) = delete;
    ScratchObject& operator=(const ScratchObject&) = delete;
    ~ScratchObject() {
        if (memory_) allocator_.deallocate(memory_, sizeof(T), allocator_.user);
    }
    explicit operator bool() const { return item_ != nullptr; }
    T& operator*() { return *item_; }
    T* operator->() { return item_; }

    static aplomb_status refused(aplomb_error* error) {
        return fail(error, APLOMB_OUT_OF_MEMORY, "allocator", -1,
                    "The allocator returned NULL for %zu bytes.", sizeof(T));
    }

private:
    aplomb_allocator allocator_;
    void* memory_;
    T* item_ = nullptr;
};

} // namespace aplomb
