#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# The Khronos glTF validator on what the aplomb command and the library write. Arguments: a folder for all that this
# makes, the command, the program many_frames. Status 77: left out.
set -euo pipefail

here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
folder=$1 command=$2 many_frames=$3

left_out() {
    printf '!!\n!! LEFT OUT: %s\n!!\n' "$*"
    exit 77
}
command -v node >/dev/null && command -v npm >/dev/null || left_out "node and npm are not there"
mkdir -p "$folder"
cp "$here/package.json" "$here/package-lock.json" "$folder/"
if ! cmp -s "$here/package-lock.json" "$folder/node_modules/installed.json"; then
    if ! (cd "$folder" && npm ci --no-audit --no-fund --prefer-offline >npm.txt 2>&1); then
        tail -n 5 "$folder/npm.txt"
        if grep -Eq 'EUSAGE|EINTEGRITY' "$folder/npm.txt"; then exit 1; fi # our own lock file is wrong
        left_out "npm ci does not work here, is there a network?"
    fi
    cp "$here/package-lock.json" "$folder/node_modules/installed.json"
fi

shopt -s nullglob
reference=("$here"/../../../shared/reference/figures/*.glb)
[ ${#reference[@]} -gt 0 ] || echo "!! The shared reference figures were not found: they ARE LEFT OUT."
node "$here/check.mjs" "$folder" "$command" "$many_frames" "$here"/../../examples/*.glb "${reference[@]}"
