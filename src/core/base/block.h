// SPDX-License-Identifier: MIT
// One block of memory per object, from the caller's allocator, cut into arrays.
#pragma once

#include <cstddef>
#include <cstdint>
#include <new>

#include "aplomb/aplomb.h"

namespace aplomb {

/// The caller's allocator, or the heap where none was given.
aplomb_allocator allocator_or_default(const aplomb_allocator* allocator);

/// Lays arrays out in a block. A first pass without memory measures, a second hands out.
class Layout {
public:
    explicit Layout(void* memory = nullptr) : base_(static_cast<unsigned char*>(memory)) {}

    /// Room for `count` value-initialised T, or nullptr while measuring. T must not need a destructor.
    template<class T>
    T* take(size_t count) {
        used_ = (used_ + alignof(T) - 1) / alignof(T) * alignof(T);
        unsigned char* place = base_ ? base_ + used_ : nullptr;
        used_ += count * sizeof(T);
        if (!place) return nullptr;
        T* items = reinterpret_cast<T*>(place);
        for (size_t i = 0; i < count; ++i)
            new (items + i) T();
        return items;
    }
    /// `first` and `second` take arrays of one kind of number that are never in use together: they share memory.
    template<class First, class Second>
    void share(First first, Second second) {
        const size_t start = used_;
        first();
        const size_t end = used_;
        used_ = start;
        second();
        used_ = end > used_ ? end : used_;
    }
    size_t used() const { return used_; }

private:
    unsigned char* base_;
    size_t used_ = 0;
};

} // namespace aplomb
