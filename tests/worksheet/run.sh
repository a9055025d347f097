#!/usr/bin/env bash
# SPDX-License-Identifier: MIT
# The worksheet: its module against a build for this machine, and its page in a browser. Arguments: a folder for what this
# makes, the program desk_native, the command. Status 77: left out.
set -euo pipefail

here=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd)
folder=$1 native=$2 command=$3 examples=$here/../../examples

left_out() {
    printf '!!\n!! LEFT OUT: %s\n!!\n' "$*"
    exit 77
}
command -v node >/dev/null || left_out "the worksheet: node is not here"
mkdir -p "$folder"
"$here/../../src/worksheet/build.sh" "$folder" >"$folder/build.txt" || {
    status=$?
    cat "$folder/build.txt"
    exit $status
}
shopt -s nullglob
zoo=("$here"/../../../shared/reference/zoo/*.glb "$here"/../../../shared/reference/zoo/*.bvh)
[ ${#zoo[@]} -gt 0 ] || echo "!! The shared reference figures were not found: they ARE LEFT OUT."
node "$here/bits.mjs" "$folder/desk.wasm" "$native" "$examples"/beekeeper.* "${zoo[@]}"

[ -n "$(node -e "import('$here/browser.mjs').then((b) => console.log(b.chromium() ?? ''))")" ] ||
    left_out "the worksheet in a browser: no Chromium here"
node "$here/page.mjs" "$folder/worksheet.html" "$command" "$examples" "$folder"
if command -v firefox-esr >/dev/null; then
    node "$here/firefox.mjs" "$(command -v firefox-esr)" "$folder/worksheet.html" "$folder"
else
    printf '!!\n!! LEFT OUT: the worksheet in Firefox: firefox-esr is not here\n!!\n'
fi
