// SPDX-License-Identifier: MIT
// Prints the hash that the WebAssembly build gives. Usage: node run.mjs MODULE COUNT
import { readFile } from 'node:fs/promises';

const module = await WebAssembly.compile(await readFile(process.argv[2]));
const imports = WebAssembly.Module.imports(module);
if (imports.length > 0) {
  console.error('The module has imports:', imports.map((i) => `${i.module}.${i.name}`).join(', '));
  process.exit(1);
}
const { exports } = await WebAssembly.instantiate(module, {});
exports._initialize?.();
const hash = BigInt.asUintN(64, exports.hash_of_solves(Number(process.argv[3])));
console.log(hash.toString(16).padStart(16, '0'));
