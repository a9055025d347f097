// SPDX-License-Identifier: MIT
// The module and a build for this machine answer with the same bytes: figures, readings, corrections, sentences, drawings,
// written files. Usage: node bits.mjs MODULE NATIVE FILE...
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { openDesk } from './desk.mjs';

const [module, native, ...files] = process.argv.slice(2);

// All calls, first on the module; what they bring is the same for both.
const desk = openDesk(module);
const calls = [], ours = [];
function ask(name, first = 0, second = 0, content = '') {
  const bytes = Buffer.from(content);
  calls.push(Buffer.from(`${name} ${first} ${second} ${bytes.length}\n`), bytes);
  const [length, reply] = desk.raw(name, name === 'desk_write' ? null : bytes, first, second);
  ours.push({ name, length, reply });
  return length < 0 ? null : JSON.parse(name === 'desk_write' ? 'null' : reply);
}

function sheets(figure) {
  const list = [];
  for (const { place } of figure.places)
    for (const part of [0.1, 0.3, 0.6]) {
      const clip = list.length % (figure.clips.length + 1) - 1;
      const times = figure.clips[clip]?.times ?? [0];
      const load = { mass: part * figure.mass_kg, place, forward: 0.06 * figure.stature_m, up: 0.02 };
      if (place.endsWith('hand')) load.hang = 0.2 * figure.stature_m;
      list.push({ clip, seconds: times[Math.floor(times.length / 2)], loads: [load],
        limbs: part > 0.5 ? [{ limb: 0, does: 'held' }] : [], options: { amount: part < 0.2 ? 0.7 : 1 } });
    }
  return list.length > 0 ? list : [{ clip: -1, seconds: 0 }];
}

for (const file of files) {
  ask('desk_name', 0, 0, path.basename(file));
  const figure = ask('desk_open', 0, 0, readFileSync(file));
  if (figure === null) continue;
  const list = sheets(figure);
  for (const sheet of list) ask('desk_solve', 0, 0, JSON.stringify(sheet));
  ask('desk_solve', 450, 0, JSON.stringify(list[0]));
  ask('desk_solve', 450, 1, JSON.stringify(list[1] ?? list[0]));
  for (const what of [0, 1, 2]) ask('desk_write', what);
  ask('desk_moments', 0, 0, JSON.stringify(list[0]));
  ask('desk_clip', 0, 0, JSON.stringify({ ...list[0], clip: figure.clips.length - 1 }));
}

const run = spawnSync(native, { input: Buffer.concat(calls), maxBuffer: 1 << 30 });
const theirs = run.stdout;
let at = 0, other = 0, bytes = 0;
for (const { name, length, reply } of ours) {
  const end = theirs.indexOf('\n', at);
  const given = Number(theirs.subarray(at, end));
  const answer = theirs.subarray(end + 1, end + 1 + Math.abs(given));
  at = end + 1 + Math.abs(given);
  bytes += answer.length;
  if (given === length && answer.equals(reply)) continue;
  let first = 0;
  while (answer[first] === reply[first]) first += 1;
  console.log(`OTHER BITS: ${name}: ${given} and ${length} bytes; first at ${first}:`);
  console.log(`  here   ${answer.subarray(first - 60, first + 40)}`);
  console.log(`  module ${reply.subarray(first - 60, first + 40)}`);
  other += 1;
}
console.log(`${ours.length} replies, ${bytes} bytes, of ${files.length} files: ${other} differ`);
if (run.status !== 0 || other > 0 || bytes < 1e5) process.exit(1);
