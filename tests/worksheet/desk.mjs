// SPDX-License-Identifier: MIT
// The desk's module in node, as the page has it.
import { readFileSync } from 'node:fs';

// What the C library brings along for its streams; nothing may ever call it.
const never = (name) => () => {
  throw new Error(`${name} was called`);
};

/** The calls of desk.h; replies are bytes, a refusal is thrown. */
export function openDesk(path) {
  const module = new WebAssembly.Module(readFileSync(path));
  const imports = {};
  for (const { module: from, name } of WebAssembly.Module.imports(module)) (imports[from] ??= {})[name] = never(name);
  const { exports } = new WebAssembly.Instance(module, imports);
  exports._initialize();
  const reply = (size) => Buffer.from(new Uint8Array(exports.memory.buffer, exports.desk_reply(), Math.abs(size)));
  const put = (content) => {
    const bytes = Buffer.from(content);
    const room = exports.desk_room(bytes.length);
    new Uint8Array(exports.memory.buffer, room, bytes.length).set(bytes);
  };
  const raw = (name, content, ...numbers) => {
    if (content !== null) put(content);
    const size = exports[name](...numbers);
    return [size, reply(size)];
  };
  const call = (name, content, ...numbers) => {
    const [size, bytes] = raw(name, content, ...numbers);
    if (size < 0) throw new Error(JSON.parse(bytes).error.message);
    return bytes;
  };
  return {
    raw,
    call,
    open: (name, bytes, beside = {}) => {
      for (const [other, content] of Object.entries(beside)) {
        call('desk_name', other);
        call('desk_beside', content);
      }
      call('desk_name', name);
      return call('desk_open', bytes);
    },
    solve: (sheet, room = 0, skin = 0) => call('desk_solve', JSON.stringify(sheet), room, skin),
    moments: (sheet) => call('desk_moments', JSON.stringify(sheet)),
    clip: (sheet) => call('desk_clip', JSON.stringify(sheet)),
    write: (what) => call('desk_write', null, what),
  };
}
