// SPDX-License-Identifier: MIT
// Prints the hashes that the WebAssembly build gives. Usage: node run.mjs MODULE COUNT
import { readFile } from 'node:fs/promises';

// The C library's vsnprintf, for error sentences, brings its streams along; nothing may ever call them.
const streams = ['fd_close', 'fd_seek', 'fd_write'];
const never = (name) => () => {
  throw new Error(`${name} was called`);
};

const module = await WebAssembly.compile(await readFile(process.argv[2]));
const others = WebAssembly.Module.imports(module).filter((i) => !streams.includes(i.name));
if (others.length > 0) {
  console.error('The module has other imports:', others.map((i) => `${i.module}.${i.name}`).join(', '));
  process.exit(1);
}
const { exports } = await WebAssembly.instantiate(module, {
  wasi_snapshot_preview1: Object.fromEntries(streams.map((name) => [name, never(name)])),
});
exports._initialize?.();
const hashes = [exports.hash_of_solves, exports.hash_of_words, exports.hash_of_motion].map((hash) =>
  BigInt.asUintN(64, hash(Number(process.argv[3]))).toString(16).padStart(16, '0'),
);
console.log(hashes.join(' '));
