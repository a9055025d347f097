#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# Nothing in the run-time library takes memory but the default allocator, which creates objects. Usage: heap_test.sh
# static library
set -euo pipefail

takers=$(nm -A -u "$1" | grep -E ' U (malloc|calloc|realloc|aligned_alloc|posix_memalign|_Znw.*|_Zna.*)$' || true)
[ -n "$takers" ] || { echo "nm shows no allocation at all, not even the default allocator's"; exit 1; }
others=$(grep -v 'block\.cpp' <<<"$takers" || true)
[ -z "$others" ] || { echo "Memory is taken outside base/block.cpp:"; echo "$others"; exit 1; }
