// SPDX-License-Identifier: MIT
#include "figure/block.h"

namespace aplomb {
namespace {

// The strictest alignment that aplomb_allocator promises; one value, so that deallocate knows it too.
constexpr std::align_val_t heap_alignment{64};

void* heap_allocate(size_t size, size_t, void*) {
    return ::operator new(size, heap_alignment, std::nothrow);
}
void heap_deallocate(void* memory, size_t, void*) {
    ::operator delete(memory, heap_alignment);
}

} // namespace

aplomb_allocator allocator_or_default(const aplomb_allocator* allocator) {
    if (allocator) return *allocator;
    return {heap_allocate, heap_deallocate, nullptr};
}

} // namespace aplomb
