// SPDX-License-Identifier: MIT
'use strict';

const $ = (id) => document.getElementById(id);
// No line ends between a number and its unit.
const unbroken = (text) => text.replaceAll(/(\d) (%|cm|mm|m|kg|J|N|degrees)(?![a-z])/g, '$1\u00a0$2');
const made = (name, text, attributes = {}) => {
  const element = document.createElement(name);
  if (text !== undefined) element.textContent = unbroken(text);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  return element;
};
// Words that stay are not written again: each time they are, the browser lays them out.
const say = (element, words) => { if (element.textContent !== words) element.textContent = words; };
const rounded = (value, decimals) => Number(value.toFixed(decimals));

/* ---- The desk: the library, compiled; see desk.h ---- */

let compiled = null; // the module
let desk = null;     // its calls

class Refusal extends Error {}

function startDesk() {
  const never = () => { throw new Error('the page has no streams'); };
  const streams = new Proxy({}, { get: () => never });
  const { exports } = new WebAssembly.Instance(compiled, { wasi_snapshot_preview1: streams });
  exports._initialize();
  desk = exports;
}

// Memory may have grown and moved: arrays over it are made after each call.
function call(name, content, ...numbers) {
  if (content !== null) {
    const bytes = typeof content === 'string' ? new TextEncoder().encode(content) : content;
    const room = desk.desk_room(bytes.length);
    if (room === 0) throw new Refusal('There is no memory for so large a file.');
    new Uint8Array(desk.memory.buffer, room, bytes.length).set(bytes);
  }
  const size = desk[name](...numbers);
  const bytes = new Uint8Array(desk.memory.buffer, desk.desk_reply(), Math.abs(size)).slice();
  if (size < 0) throw new Refusal(JSON.parse(new TextDecoder().decode(bytes)).error.message);
  return bytes;
}
const told = (...call_arguments) => JSON.parse(new TextDecoder().decode(call(...call_arguments)));

async function unpacked(id) {
  const packed = Uint8Array.from(atob($(id).textContent), (c) => c.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream('gzip'));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

/* ---- What is on the sheet ---- */

const OWN = 'beekeeper.glb';
const PLACES = { // common practice: a box before the belly, a pack behind the chest, a bucket at arm's length
  hands: { forward: 0.06, up: 0.03, hang: null },
  back: { forward: -0.28, up: 0.05, hang: null },
  'left-hand': { forward: 0, up: 0, hang: 0.38 },
  'right-hand': { forward: 0, up: 0, hang: 0.38 },
};
const REACHES = { forward: [-60, 60], up: [-40, 60], hang: [0, 90] }; // of the sliders, cm on a person
const ON_FOUR_FEET = { forward: -0.2, up: 0.22, hang: null };
const USUAL_PART = 0.3; // of the body's mass
const SHOWN_OPTIONS = ['amount', 'heft', 'front']; // the others are folded away
const AT_REST = 250;   // milliseconds without a change until the skin is drawn

let own = null;    // the beekeeper's bytes
let shown = null;  // { name, bytes, beside } of the character that is open
let figure = null; // what the desk says of it
let sheet = null;  // what is given: clip, seconds, loads, limbs, options
let answer = null; // what the desk found

const hasHands = () => figure.limbs.some((limb) => !limb.foot);
const load = () => sheet.loads[0];
const clipNow = () => figure.clips[sheet.clip] ?? { name: 'the pose without motion', times: [0] };
const frameNow = () => Math.max(0, clipNow().times.indexOf(sheet.seconds));
const size = () => figure.stature_m / 1.72; // beside a person
const lengthStep = () => size() < 0.3 ? 0.1 : 1; // cm
const scaled = (place) => {
  const of = place === 'back' && !hasHands() ? ON_FOUR_FEET : PLACES[place];
  const length = (metres) => rounded(metres * size(), size() < 0.3 ? 3 : 2);
  return { forward: length(of.forward), up: length(of.up), ...(of.hang === null ? {} : { hang: length(of.hang) }) };
};

function freshSheet() {
  // The beekeeper's first moment only stands about.
  const clip = figure.clips.length === 0 ? -1 : Math.max(0, figure.clips.findIndex((c) => c.name === 'honey box'));
  const place = (figure.places.find((p) => hasHands() || p.place === 'back') ?? figure.places[0])?.place;
  const loads = place ? [{ mass: rounded(USUAL_PART * figure.mass_kg, figure.mass_kg < 10 ? 3 : 1), place, ...scaled(place) }] : [];
  return { clip, seconds: figure.clips[clip]?.times[0] ?? 0, loads, limbs: [], options: {} };
}

/* ---- The address: what is given, to be sent to somebody ---- */

function addressOf() {
  const words = new URLSearchParams();
  if (figure.name !== OWN) words.set('file', figure.name);
  if (sheet.clip >= 0) words.set('clip', clipNow().name);
  if (frameNow() > 0) words.set('frame', frameNow());
  if (load()) {
    words.set('mass', load().mass);
    words.set('place', load().place);
    for (const way of ['forward', 'up', 'hang']) if (load()[way] !== undefined) words.set(way, load()[way]);
  }
  for (const { limb, does, share } of sheet.limbs) {
    const name = figure.limbs[limb].words.replaceAll(' ', '-');
    if (does) words.set(name, does);
    if (share !== undefined) words.set('share', share);
  }
  for (const [name, value] of Object.entries(sheet.options)) words.set(`option.${name}`, value);
  return `#${words}`;
}

let awaited = null; // the words of an address about a file that is not here yet: they stay until something else is done
let writtenAddress = '';
function writeAddress() {
  if (awaited) return;
  writtenAddress = addressOf();
  try {
    history.replaceState(null, '', writtenAddress);
  } catch {
    location.replace(writtenAddress);
  }
}

const addressWords = () => new URLSearchParams(location.hash.slice(1));
const fileOf = (words) => words.get('file') ?? OWN;

// What the address says and the character has; the rest of it is left aside.
function readAddress(words) {
  const given = freshSheet();
  const number = (name, low, high) => {
    const text = words.get(name), value = Number(text);
    return text !== null && text !== '' && value >= low && value <= high ? value : undefined;
  };
  const clip = figure.clips.findIndex((c) => c.name === words.get('clip'));
  if (clip >= 0) given.clip = clip, given.seconds = figure.clips[clip].times[0] ?? 0;
  const frame = number('frame', 0, (figure.clips[given.clip]?.times.length ?? 1) - 1);
  if (frame !== undefined) given.seconds = figure.clips[given.clip]?.times[Math.trunc(frame)] ?? 0;
  const carried = given.loads[0];
  if (carried) {
    const place = figure.places.find((p) => p.place === words.get('place'));
    if (place) given.loads[0] = { mass: carried.mass, place: place.place, ...scaled(place.place) };
    const first = given.loads[0];
    first.mass = number('mass', 0, 1e6) ?? first.mass;
    for (const way of ['forward', 'up']) first[way] = number(way, -10, 10) ?? first[way];
    if (place && !words.has('hang')) delete first.hang;
    const hang = number('hang', 0, 10);
    if (hang !== undefined) first.hang = hang;
  }
  figure.limbs.forEach((limb, index) => {
    const does = words.get(limb.words.replaceAll(' ', '-'));
    if (['bearing', 'held', 'free', 'flat', 'ball', 'heel'].includes(does)) given.limbs.push({ limb: index, does });
  });
  const share = number('share', 0, 1), left = leftFoot();
  if (share !== undefined && left >= 0) limbOf(given, left).share = share;
  for (const option of figure.options) {
    const value = number(`option.${option.name}`, option.lowest, option.highest);
    if (value !== undefined) given.options[option.name] = value;
  }
  return given;
}

const leftFoot = () => figure.limbs.findIndex((limb) => limb.words === 'left foot');
function limbOf(given, limb) {
  let entry = given.limbs.find((l) => l.limb === limb);
  if (!entry) given.limbs.push((entry = { limb }));
  return entry;
}

/* ---- Drawing ---- */

function drawTable(table, heads, rows) {
  const head = made('tr');
  head.append(made('td'), ...heads.map((text) => made('th', text, { scope: 'col' })));
  const lines = rows.map(([name, ...cells]) => {
    const line = made('tr');
    line.append(made('th', name, { scope: 'row' }), ...cells.map((text) => made('td', text)));
    return line;
  });
  const top = made('thead'), body = made('tbody');
  top.append(head);
  body.append(...lines);
  table.replaceChildren(top, body);
}

// The library's own drawings; their texts are escaped in them.
function drawViews(half, pose) {
  $(`${half}-verdict`).textContent = pose.verdict;
  $(`${half}-verdict`).classList.toggle('out', pose.out);
  $(half).innerHTML = Object.entries(pose.views).map(([name, view]) =>
    `<figure class="view-${name}" style="--wide: ${view.width}">${view.svg}<figcaption></figcaption></figure>`).join('');
  $(half).querySelectorAll('figcaption').forEach((caption, i) => {
    caption.textContent = Object.values(pose.views)[i].words;
  });
}

function legendItem({ svg, words, of }) {
  const item = made('li', undefined, of ? { class: of } : {});
  item.innerHTML = svg;
  item.append(words);
  return item;
}

function drawLoads(parts) {
  $('loads').replaceChildren(...parts.loads.flatMap((carried) => {
    const bar = made('div'), words = made('div'), legend = made('ul', undefined, { class: 'legend', 'aria-label': 'Legend of the bars' });
    bar.innerHTML = carried.bar;
    legend.append(...parts.bar_legend.map(legendItem));
    words.append(made('p', carried.before), made('p', carried.after), legend);
    return [made('h2', `What the load reads as, going by the pose: ${carried.load}`), bar, words];
  }));
}

// Asked for when it changes, not while drawing: an answer in the middle would lay out the page once more.
let roomForBoth = 0;
const halfRoom = () => Math.max(1, Math.floor(roomForBoth / 2) - 17); // beside rules and margins
const narrow = () => matchMedia('(max-width: 760px)').matches;
const PRINTED_HEIGHT = 480; // of the views on the first printed page, captions aside
const LEAST_ROOM = 442; // two views beside each other at the size in which they are drawn

// All views by the same part of their size, so that they stand in line.
function fit() {
  if (!answer) return;
  const { front, side, top } = answer.parts.before.views;
  const pair = front.width + side.width + 10;
  const room = narrow() ? (roomForBoth - 17) / 2 : halfRoom();
  const widest = !narrow() && pair <= drawnRoom ? pair : Math.max(front.width, side.width, top.width);
  setSize('--fit', Math.min(1, room / widest));
  const together = pair <= drawnRoom;
  const high = (name) => $('before').querySelector(`.view-${name} svg`).viewBox.baseVal.height;
  const highest = Math.max(high('front'), high('side'));
  const inOneRow = Math.min(490 / (front.width + side.width + top.width + 24), PRINTED_HEIGHT / Math.max(highest, high('top')));
  const inRows = together ? Math.min(490 / pair, PRINTED_HEIGHT / (highest + high('top')))
    : Math.min(490 / widest, PRINTED_HEIGHT / (high('front') + high('side') + high('top')));
  setSize('--printed', Math.min(0.9, Math.max(inOneRow, inRows)));
}

function setSize(name, value) {
  for (const id of ['halves', 'under']) $(id).style.setProperty(name, value);
}

function measureRoom() {
  roomForBoth = $('halves').clientWidth;
  fit();
}

const inserted = new Map();
/** What stays the same from answer to answer is left in place. */
function once(id, content, insert) {
  const key = JSON.stringify(content);
  if (inserted.get(id) === key) return;
  inserted.set(id, key);
  insert($(id));
}

let drawnRoom = 0;
let viewChosen = false; // on narrow screens, which have room for one

function showView(name) {
  if (document.body.dataset.view === name) return; // its style would be found anew
  document.body.dataset.view = name;
  for (const radio of document.querySelectorAll('[name=view]')) radio.checked = radio.value === name;
}

function drawAnswer() {
  const { parts } = answer;
  once('marks', parts.marks, (marks) => { marks.innerHTML = parts.marks; });
  drawViews('before', parts.before);
  drawViews('after', parts.after);
  fit();
  once('scale', parts.scale, (scale) => {
    scale.innerHTML = parts.scale.svg;
    scale.style.setProperty('--wide', parts.scale.width);
    scale.append(parts.scale.words);
  });
  once('legend', parts.legend, (legend) => legend.replaceChildren(...parts.legend.map(legendItem)));
  drawLoads(parts);
  say($('text'), unbroken(parts.text || 'Nothing changes.'));
  drawTable($('shift'), ['sideways', 'up or down', 'fore or aft'], parts.controls.slice(0, 1));
  drawTable($('turns'), ['bend', 'lean', 'twist'], parts.controls.slice(1));
  drawTable($('readings'), ['before', 'after'], parts.readings);
  once('cues', parts.cues, (cues) => cues.replaceChildren(...parts.cues.map((text) => made('li', text))));
  $('cues-section').hidden = parts.cues.length === 0;
  $('copied').textContent = '';
  $('verdict').textContent = `Before: ${parts.before.verdict}. After: ${parts.after.verdict}.`;
  drawStance();
  $('said').textContent = `${figure.name}, ${answer.place}. ${carriedWords()}`;
}

function carriedWords() {
  if (!load()) return 'Nothing is carried.';
  const place = figure.places.find((p) => p.place === load().place).words;
  const hang = load().hang === undefined ? '' : `, hanging ${rounded(100 * load().hang, 1)} cm below`;
  return `${load().mass} kg, ${place}, ${rounded(100 * load().forward, 1)} cm ahead, ` +
    `${rounded(100 * load().up, 1)} cm above${hang}.`;
}

let restTimer = 0, moved = false;

/** Solves and draws: a lay figure while something moves, the file's own skin at rest. */
function solve(skin) {
  try {
    drawnRoom = Math.max(LEAST_ROOM, narrow() ? 0 : halfRoom());
    answer = told('desk_solve', JSON.stringify(sheet), drawnRoom, skin ? 1 : 0);
    drawAnswer();
    if (complainedOf === 'sheet') complain('');
  } catch (problem) {
    failed(problem, 'sheet');
  }
}

function whenAtRest() {
  clearTimeout(restTimer);
  restTimer = setTimeout(() => {
    try {
      drawMoments();
    } catch (problem) {
      failed(problem, 'sheet');
    }
    drawClip();
    writeAddress();
    if (figure.skin) solve(true);
    document.body.dataset.rest = 'yes';
  }, AT_REST);
}

// However many events come in, a frame has one answer.
function changed() {
  if (document.body.dataset.rest !== 'no') document.body.dataset.rest = 'no';
  if (complainedOf === 'file') complain('');
  awaited = null;
  drawGiven();
  if (!moved) {
    moved = true;
    requestAnimationFrame(() => {
      moved = false;
      solve(false);
    });
  }
  whenAtRest();
}

/* ---- What is given, in its fields ---- */

function drawGiven() {
  say($('about'), `${figure.name}: ${figure.stature_m.toFixed(2)} m, ${figure.mass_kg.toFixed(1)} kg, masses ${figure.mass_source}`);
  $('own').hidden = figure.name === OWN;
  const times = clipNow().times;
  $('frames').hidden = times.length < 2;
  $('frame').max = Math.max(0, times.length - 1);
  $('frame').value = frameNow();
  say($('frame-said'), `${frameNow()} of ${times.length - 1}, ${sheet.seconds.toFixed(3)} s`);
  const carried = load();
  for (const id of ['part', 'mass', 'forward', 'up', 'hangs', 'hang']) $(id).disabled = !carried;
  if (carried) {
    const part = 100 * carried.mass / figure.mass_kg;
    $('part').value = part;
    say($('part-said'), `${part.toFixed(0)} %`);
    if (document.activeElement !== $('mass')) $('mass').value = carried.mass;
    for (const way of ['forward', 'up', 'hang']) {
      const length = rounded(100 * (carried[way] ?? 0), lengthStep() < 1 ? 1 : 0);
      $(way).value = length;
      say($(`${way}-said`), `${length} cm`);
      $(way).setAttribute('aria-valuetext', `${length} cm`);
    }
    $('part').setAttribute('aria-valuetext', `${part.toFixed(0)} per cent, ${carried.mass} kg`);
    $('hangs').checked = carried.hang !== undefined;
    $('hanging').hidden = carried.hang === undefined;
    for (const radio of document.querySelectorAll('[name=place]')) radio.checked = radio.value === carried.place;
    if (!viewChosen) showView(carried.place.endsWith('-hand') ? 'front' : 'side');
  }
  const left = leftFoot(), entry = sheet.limbs.find((l) => l.limb === left);
  const share = entry?.share;
  $('shared').checked = share !== undefined;
  $('share').hidden = share === undefined;
  $('share').value = 100 * (share ?? 0.5);
  say($('share-said'), share === undefined ? 'as it falls' : `${Math.round(100 * share)} %`);
  for (const option of figure.options) {
    const value = sheet.options[option.name] ?? option.usual;
    const field = $(`option-${option.name}`);
    if (document.activeElement !== field || field.type === 'range') field.value = inField(option, value);
    const said = $(`said-${option.name}`);
    if (said) say(said, optionWords(option, value));
  }
}

const DEGREES = 180 / Math.PI;
const isPart = (option) => option.unit === '' && option.highest <= 2 && !option.whole;
const inField = (option, value) => rounded(option.unit === 'radians' ? value * DEGREES : isPart(option) ? 100 * value : value, 4);
const fromField = (option, value) => option.unit === 'radians' ? value / DEGREES : isPart(option) ? value / 100 : value;
const optionUnit = (option) => option.unit === 'radians' ? '°' : isPart(option) ? '%' : '';
const optionWords = (option, value) => `${rounded(inField(option, value), 1)} ${optionUnit(option)}`.trim();

/** Of a whole number all of whose values have words, as in "the answer to a front load; 0: arch, 1: straight, 2: sit back": the words. */
function choicesOf(option) {
  const choices = [...option.meaning.matchAll(/(\d+): ([^,;]+)/g)].map(([, value, words]) => ({ value, words }));
  return option.whole && choices.length === option.highest - option.lowest + 1 ? choices : [];
}

function setOption(option, value) {
  const kept = Math.min(Math.max(value, option.lowest), option.highest);
  if (Number.isNaN(kept)) return;
  if (kept === option.usual) delete sheet.options[option.name];
  else sheet.options[option.name] = kept;
  changed();
}

/** Fields for all that the library's table has; those that an animator asks for first are in sight, as sliders where they are numbers. */
function makeOptions() {
  const shownFields = [], others = [];
  for (const option of figure.options) {
    const inSight = SHOWN_OPTIONS.includes(option.name), choices = inSight ? choicesOf(option) : [];
    const slides = inSight && choices.length === 0;
    const id = `option-${option.name}`, name = option.name.replaceAll('_', ' ');
    const unit = option.unit === 'radians' ? 'degrees' : isPart(option) ? '%' : option.unit;
    const label = made('label', inSight ? name : `${name}: ${[option.meaning, unit].filter(Boolean).join(', ')}`, { for: id });
    if (inSight) label.append(made('span', choices.length > 0 ? option.meaning.replace(/; \d+: .*/, '') : option.meaning, { class: 'small' }));
    const field = choices.length > 0 ? made('select', undefined, { id }) : made('input', undefined, { id, type: slides ? 'range' : 'number',
      step: slides ? 1 : 'any', min: inField(option, option.lowest), ...(Number.isFinite(option.highest) ? { max: inField(option, option.highest) } : {}) });
    for (const choice of choices) field.append(made('option', choice.words, { value: choice.value }));
    field.addEventListener(slides ? 'input' : 'change', () => setOption(option, fromField(option, Number(field.value))));
    if (slides) shownFields.push(label, made('output', '', { id: `said-${option.name}`, for: id }), field);
    else (inSight ? shownFields : others).push(label, field);
  }
  $('options').replaceChildren(...shownFields);
  $('more-options').replaceChildren(...others);
}

const DOES = { usual: 'as the pose shows', bearing: 'bearing', flat: 'bearing, flat', ball: 'bearing, on the ball',
               heel: 'bearing, on the heel', held: 'held', free: 'free' };

function makeLimbs() {
  $('limbs').replaceChildren(...figure.limbs.flatMap((limb, index) => {
    const id = `limb-${index}`, select = made('select', undefined, { id });
    const choices = limb.sole ? ['usual', 'flat', 'ball', 'heel', 'held', 'free'] : ['usual', 'bearing', 'held', 'free'];
    for (const choice of choices) select.append(made('option', DOES[choice], { value: choice }));
    select.addEventListener('change', () => {
      const entry = limbOf(sheet, index);
      if (select.value === 'usual') delete entry.does;
      else entry.does = select.value;
      changed();
    });
    return [made('label', limb.words, { for: id }), select];
  }));
  $('sharing').hidden = leftFoot() < 0;
}

/** What the pose shows stands in the first choice. */
function drawStance() {
  for (const { limb, usual } of answer.stance) {
    const select = $(`limb-${limb}`);
    say(select.options[0], `as keyed: ${usual}`);
    const does = sheet.limbs.find((l) => l.limb === limb)?.does ?? 'usual';
    if (select.value !== does) select.value = does;
  }
}

function makePlaces() {
  for (const [way, ends] of Object.entries(REACHES)) {
    const [low, high] = ends.map((end) => size() < 0.3 ? rounded(end * size(), 1) : 5 * Math.round(end * size() / 5));
    Object.assign($(way), { min: low, max: high, step: lengthStep() });
  }
  $('places').replaceChildren(...figure.places.map(({ place, words }) => {
    const label = made('label'), radio = made('input', undefined, { type: 'radio', name: 'place', value: place });
    radio.addEventListener('change', () => {
      sheet.loads = [{ mass: load().mass, place, ...scaled(place) }];
      changed();
    });
    label.append(radio, words);
    return label;
  }));
}

function momentName({ clip, frame }) {
  if (clip < 0) return 'the pose without motion';
  const { name, times } = figure.clips[clip];
  return times.length > 1 ? `${name}, frame ${frame}` : name;
}

function openMoment(clip, seconds) {
  sheet.clip = clip;
  sheet.seconds = seconds;
  changed();
}

/** All moments of the file, with what is carried now, as keyed. */
function drawMoments() {
  const found = told('desk_moments', JSON.stringify({ ...sheet, limbs: [] }));
  const focused = document.activeElement?.closest?.('#moments button')?.dataset.at;
  $('moments').replaceChildren(...found.moments.map((moment) => {
    const item = made('li'), button = made('button', undefined, { type: 'button' });
    const { verdict, out } = moment.parts?.before ?? { verdict: moment.wrong.replace(`'${figure.name}': `, ''), out: true };
    const reads = moment.parts?.readings.find(([name]) => name.endsWith(', reads as'));
    const current = moment.clip === sheet.clip && moment.seconds === sheet.seconds;
    button.dataset.at = `${moment.clip}:${moment.frame}`;
    button.setAttribute('aria-current', current);
    button.append(made('b', momentName(moment)), made('span', verdict, out ? { class: 'out' } : {}),
      made('span', reads ? readsWords(reads[1]) : ''));
    button.addEventListener('click', () => openMoment(moment.clip, moment.seconds));
    item.append(button);
    return item;
  }));
  if (focused) document.querySelector(`#moments button[data-at="${focused}"]`)?.focus();
}
const readsWords = (words) => words.startsWith('balance') ? '' : `reads as ${words}`;

const BELOW_GROUND = 44; // of an upright view, page units

/** All moments of a strip at one scale, on one ground: a squat is no taller than a stand. `scales`: page units for the same length. */
function inStep(drawings, scales) {
  const sizes = drawings.map((svg, i) => ({ box: svg.viewBox.baseVal, scale: scales[i] }));
  const wide = Math.max(...sizes.map(({ box, scale }) => box.width / scale));
  const high = Math.max(...sizes.map(({ box, scale }) => (box.height - BELOW_GROUND) / scale)), below = 0.12;
  for (const [i, { box: { width, height }, scale }] of sizes.entries())
    drawings[i].setAttribute('viewBox', [(width - wide * scale) / 2, height - BELOW_GROUND - high * scale, wide * scale, (high + below) * scale].join(' '));
}

/** Where the clip moves: notes and eight moments of it. */
function drawClip() {
  $('clip').hidden = clipNow().times.length < 3;
  if ($('clip').hidden) return;
  try {
    const clip = told('desk_clip', JSON.stringify({ ...sheet, limbs: [] }));
    $('notes').replaceChildren(...(clip.notes.length ? clip.notes : [{ text: 'Nothing stands out.' }]).map((note) => {
      const item = made('li');
      if (note.seconds === undefined) item.append(note.text);
      else {
        const button = made('button', undefined, { type: 'button' }), [frames, ...rest] = note.text.split(':');
        button.append(made('u', frames), unbroken(['', ...rest].join(':')));
        button.addEventListener('click', () => openMoment(sheet.clip, note.seconds));
        item.append(button);
      }
      return item;
    }));
    $('strip').replaceChildren(...clip.strip.map(({ moment, in_balance, in_the_air }, index) => {
      const item = made('li'), button = made('button', undefined, { type: 'button' });
      // Each drawing has names of its own in the document.
      button.innerHTML = moment.parts.before.views.side.svg.replaceAll('before-', `strip${index}-`);
      button.append(`${moment.frame}: ${in_the_air ? 'in the air' : in_balance ? 'in balance' : 'out of balance'}`);
      button.setAttribute('aria-current', moment.seconds === sheet.seconds);
      button.addEventListener('click', () => openMoment(sheet.clip, moment.seconds));
      item.append(button);
      return item;
    }));
    inStep([...$('strip').querySelectorAll('svg')], clip.strip.map(({ moment }) => moment.parts.scale.width));
  } catch (problem) {
    $('strip').replaceChildren();
    $('notes').replaceChildren(made('li', problem.message));
  }
}

/* ---- Files in and out ---- */

let complainedOf = ''; // 'sheet': what is given cannot be solved; 'file': a file, or the address, until something changes

function complain(sentence, of) {
  complainedOf = sentence === '' ? '' : of;
  $('wrong').textContent = sentence;
  $('wrong').hidden = sentence === '';
}

/** A refusal is a sentence of the library's. Where the library itself stopped, it is started anew with what was there. */
function failed(problem, of) {
  if (problem instanceof Refusal) return complain(problem.message, of);
  complain(`The library stopped on this (${problem.message}); what was there is back.`, of);
  restart(of === 'file');
}

/** The desk anew, with the character that was there and what was found of it. */
function restart(solved) {
  startDesk();
  if (!shown) return;
  putOnDesk(shown);
  if (solved) call('desk_solve', JSON.stringify(sheet), 0, 0);
}

function putOnDesk({ name, bytes, beside }) {
  for (const [other, content] of beside) {
    call('desk_name', other);
    call('desk_beside', content);
  }
  call('desk_name', name);
  return told('desk_open', bytes);
}

const LARGE = 5e7; // bytes: what was refused is given back to the machine

function openCharacter(name, bytes, beside = []) {
  try {
    figure = putOnDesk({ name, bytes, beside });
    shown = { name, bytes, beside };
  } catch (problem) {
    failed(problem, 'file');
    if (bytes.length > LARGE && problem instanceof Refusal) restart(true);
    return false;
  }
  complain('');
  $('remarks').replaceChildren(...figure.remarks.map((text) => made('li', text)));
  makePlaces();
  makeLimbs();
  makeOptions();
  sheet = awaited && fileOf(awaited) === name ? readAddress(awaited) : freshSheet();
  if (awaited && (fileOf(awaited) === name || name !== OWN)) awaited = null;
  document.body.dataset.rest = 'no';
  drawGiven();
  solve(false);
  $('clip').hidden = true;
  if (awaited) complain(`This address is about ${fileOf(awaited)}: drop that file here to see it.`, 'file');
  whenAtRest();
  return true;
}

async function take(files) {
  const list = [...files];
  if (list.length === 0) return;
  const main = list.find((f) => /\.(glb|gltf|bvh)$/i.test(f.name)) ?? list[0];
  try {
    const beside = await Promise.all(list.filter((f) => f !== main)
      .map(async (f) => [f.name, new Uint8Array(await f.arrayBuffer())]));
    if (!openCharacter(main.name, new Uint8Array(await main.arrayBuffer()), beside) && await openDrawing(main))
      complain(`${$('wrong').textContent} It is open as a drawing, to set dots on.`, 'file');
  } catch (problem) {
    complain(`'${main.name}': cannot be read: ${problem.message}`, 'file');
  }
}

function save(name, bytes, type) {
  const link = made('a', undefined, { href: URL.createObjectURL(new Blob([bytes], { type })), download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}

const stem = () => figure.name.replace(/\.[^.]*$/, '');
const ending = () => figure.name.slice(stem().length) || '.glb';

function saveResult(what, name, type) {
  try {
    save(name, call('desk_write', null, what), type);
  } catch (problem) {
    failed(problem, 'sheet');
  }
}

/** The numbers as a rig takes them: centimetres and degrees, signs by their words. */
function controlText() {
  const { controls, parts } = answer;
  const number = (value) => rounded(value, 2).toFixed(2).padStart(8);
  const line = (name, values) => name.padEnd(20) + values.map(number).join('');
  const turn = (v) => [v[0], v[2], v[1]].map((angle) => angle * DEGREES);
  return [`${figure.name}, ${answer.place}. ${carriedWords()}`, `After: ${parts.after.verdict}.`,
    'Changes from the key.',
    'cm                      left      up forward', line('hips, shift', controls.hips_shift_m.map((v) => 100 * v)),
    'degrees              forward   right    left', '                       bend    lean   twist',
    line('pelvis, turn', turn(controls.hips_turn)), line('chest against hips', turn(controls.chest)),
    line('head against chest', turn(controls.neck))].join('\n') + '\n';
}

async function copyControls() {
  const text = controlText();
  try {
    await navigator.clipboard.writeText(text);
  } catch {
    const area = made('textarea', text);
    document.body.append(area);
    area.select();
    document.execCommand('copy');
    area.remove();
  }
  $('copied').textContent = 'copied';
}

/* ---- Begin ---- */

function listen() {
  const on = (id, event, work) => $(id).addEventListener(event, () => { work($(id)); });
  on('part', 'input', (f) => { load().mass = rounded(f.value / 100 * figure.mass_kg, figure.mass_kg < 10 ? 4 : 2); changed(); });
  on('mass', 'input', (f) => { if (f.value !== '' && f.value >= 0) load().mass = Number(f.value), changed(); });
  on('mass', 'blur', drawGiven);
  for (const way of ['forward', 'up', 'hang']) on(way, 'input', (f) => { load()[way] = rounded(f.value / 100, 4); changed(); });
  on('hangs', 'change', (f) => {
    if (f.checked) load().hang = scaled('right-hand').hang;
    else delete load().hang;
    changed();
  });
  on('frame', 'input', (f) => { sheet.seconds = clipNow().times[f.value]; changed(); });
  on('shared', 'change', (f) => {
    const entry = limbOf(sheet, leftFoot());
    if (f.checked) entry.share = 0.5;
    else delete entry.share;
    changed();
  });
  on('share', 'input', (f) => { limbOf(sheet, leftFoot()).share = f.value / 100; changed(); });
  on('usual', 'click', () => { sheet.options = {}; changed(); });
  on('file', 'change', (f) => { take(f.files); f.value = ''; });
  on('own', 'click', () => openCharacter(OWN, own));
  on('copy', 'click', copyControls);
  on('save', 'click', () => saveResult(0, `${stem()}-balanced${ending()}`, 'application/octet-stream'));
  on('picture', 'click', () => saveResult(1, `${stem()}.svg`, 'image/svg+xml'));
  on('page', 'click', () => saveResult(2, `${stem()}.html`, 'text/html'));
  on('print', 'click', () => print());
  on('lines', 'change', (f) => document.body.classList.toggle('lines', f.checked));
  for (const radio of document.querySelectorAll('[name=view]'))
    radio.addEventListener('change', () => { viewChosen = true; showView(radio.value); });
  listenForDots();
  $('steps').addEventListener('submit', (event) => event.preventDefault());
  addEventListener('dragover', (event) => { event.preventDefault(); document.body.classList.add('over'); });
  addEventListener('dragleave', (event) => { if (!event.relatedTarget) document.body.classList.remove('over'); });
  addEventListener('drop', (event) => {
    event.preventDefault();
    document.body.classList.remove('over');
    take(event.dataTransfer.files);
  });
  new ResizeObserver(measureRoom).observe($('halves'));
  addEventListener('hashchange', () => {
    if (location.hash === writtenAddress) return;
    awaited = addressWords();
    if (fileOf(awaited) === figure.name) openCharacter(shown.name, shown.bytes, shown.beside);
    else openCharacter(OWN, own);
  });
}

async function begin() {
  try {
    const [code, beekeeper] = await Promise.all([unpacked('desk'), unpacked('beekeeper')]);
    own = beekeeper;
    compiled = await WebAssembly.compile(code);
    startDesk();
  } catch (problem) {
    document.body.dataset.rest = 'no';
    return complain(`This browser cannot run the sheet: ${problem.message}`, 'file');
  }
  measureRoom();
  listen();
  awaited = addressWords();
  openCharacter(OWN, own);
}
