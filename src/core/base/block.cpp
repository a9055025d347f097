// SPDX-License-Identifier: MIT
#include "base/block.h"

#include <cstdlib>

namespace aplomb {
namespace {

// The strictest alignment that aplomb_allocator promises; a size must be a multiple of it.
constexpr size_t heap_alignment = 64;

void* heap_allocate(size_t size, size_t, void*) {
    return std::aligned_alloc(heap_alignment, (size + heap_alignment - 1) / heap_alignment * heap_alignment);
}
void heap_deallocate(void* memory, size_t, void*) {
    std::free(memory);
}

} // namespace

aplomb_allocator allocator_or_default(const aplomb_allocator* allocator) {
    if (allocator) return *allocator;
    return {heap_allocate, heap_deallocate, nullptr};
}

} // namespace aplomb
