/* ---- Dots on a drawing, one after another, saved as the command "aplomb dots" takes them ---- */

const JOINTS = ['shoulder', 'elbow', 'wrist', 'hip', 'knee', 'ankle', 'toe'];
const DOTS = ['crown', 'chin', 'neck', ...JOINTS.flatMap((joint) => [`left ${joint}`, `right ${joint}`])];
const WHERE = { crown: 'the highest place of the head, hair and hat left out', chin: 'its lowest place',
                neck: 'its base, level with the tops of the shoulders', toe: 'the tip of the foot' };
const FEWEST_DOTS = 6;

let drawing = null; // name, width, height; dots: by name, null where not seen; done: what can be undone; at: the dot asked for; mark

const whereOf = (dot) => WHERE[dot.replace(/^(left|right) /, '')] ?? 'the middle of the joint';
const dotsSet = () => DOTS.filter((dot) => drawing.dots.get(dot));

/** As the command has it: an SVG's size is that of its first tag, in whatever unit. */
function drawingSize(picture, text) {
  if (!text) return [picture.naturalWidth, picture.naturalHeight];
  const root = new DOMParser().parseFromString(text, 'image/svg+xml').documentElement;
  const size = [Number(root.getAttribute('width')), Number(root.getAttribute('height'))];
  if (size[0] > 0 && size[1] > 0) return size;
  const box = (root.getAttribute('viewBox') ?? '').trim().split(/[\s,]+/).map(Number);
  return box.length === 4 && box[2] > 0 && box[3] > 0 ? box.slice(2) : [picture.naturalWidth, picture.naturalHeight];
}

/** False where the file is no picture; then nothing changes. */
async function openDrawing(file) {
  const kind = { png: 'image/png', jpg: 'image/jpeg', jpeg: 'image/jpeg', svg: 'image/svg+xml' }[/\.(\w+)$/.exec(file.name)?.[1].toLowerCase()];
  if (!kind) return false;
  const address = URL.createObjectURL(new Blob([await file.arrayBuffer()], { type: kind })), picture = made('img', undefined, { src: address, alt: file.name });
  try {
    await picture.decode();
  } catch {
    URL.revokeObjectURL(address);
    return false;
  }
  closeDrawing();
  const [width, height] = drawingSize(picture, kind === 'image/svg+xml' ? await file.text() : '');
  drawing = { name: file.name, width, height, dots: new Map(), done: [], at: DOTS[0], mark: [width / 2, height / 2] };
  picture.id = 'dots-picture';
  $('dots-frame').replaceChildren(picture, document.createElementNS(SVG, 'svg'));
  $('drawing-heading').textContent = `Dots on a drawing: ${file.name}`;
  $('drawing').hidden = false;
  drawDots();
  $('drawing').scrollIntoView();
  return true;
}

function closeDrawing() {
  const picture = $('dots-picture');
  if (picture) URL.revokeObjectURL(picture.src);
  $('dots-frame').replaceChildren();
  $('drawing').hidden = true;
  drawing = null;
}

const SVG = 'http://www.w3.org/2000/svg';
const LIMBS = [['crown', 'chin', 'neck'], ['neck', 'left shoulder', 'left elbow', 'left wrist'], ['neck', 'right shoulder', 'right elbow', 'right wrist'],
               ['left shoulder', 'left hip', 'left knee', 'left ankle', 'left toe'], ['right shoulder', 'right hip', 'right knee', 'right ankle', 'right toe'],
               ['left hip', 'right hip']];
const sideOf = (dot) => /^(left|right) /.exec(dot)?.[1] ?? 'middle';

function drawDots() {
  const { width, height, dots, at, mark } = drawing, over = $('dots-frame').querySelector('svg');
  const unit = Math.max(width, height) / 100;
  const drawn = (name, attributes) => {
    const element = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    return element;
  };
  const lines = LIMBS.flatMap((limb) => limb.slice(1).map((dot, i) => [limb[i], dot])).filter(([a, b]) => dots.get(a) && dots.get(b));
  over.setAttribute('viewBox', `0 0 ${width} ${height}`);
  over.setAttribute('aria-hidden', 'true');
  over.replaceChildren(
    ...lines.map(([a, b]) => drawn('path', { d: `M${dots.get(a)}L${dots.get(b)}`, class: sideOf(b), 'stroke-width': unit * 0.3, fill: 'none' })),
    ...dotsSet().map((dot) => drawn('circle', { cx: dots.get(dot)[0], cy: dots.get(dot)[1], r: unit * 0.7, class: sideOf(dot), 'stroke-width': unit * 0.3 })),
    ...(at ? [drawn('path', { class: 'mark', 'stroke-width': unit * 0.25,
      d: `M${mark[0] - 2 * unit} ${mark[1]}h${4 * unit}M${mark[0]} ${mark[1] - 2 * unit}v${4 * unit}` })] : []));
  const count = dotsSet().length;
  $('dot-said').textContent = at ? `Next: ${at}, ${whereOf(at)}.` : 'All dots are done; choose one in the list to set it again.';
  $('dots-list').replaceChildren(...DOTS.map((dot) => {
    const place = dots.get(dot), item = made('li'), button = made('button', undefined, { type: 'button', 'aria-current': dot === at, class: sideOf(dot) });
    button.append(made('span', dot), made('span', place ? place.join(', ') : place === null ? 'not seen' : '–'));
    button.addEventListener('click', () => { drawing.at = dot; drawDots(); $('dots-frame').focus(); });
    item.append(button);
    return item;
  }));
  $('dot-undo').disabled = drawing.done.length === 0;
  $('dot-unseen').disabled = !at;
  $('dots-save').disabled = count < FEWEST_DOTS;
  $('dots-count').textContent = count < FEWEST_DOTS ? `${count} set; ${FEWEST_DOTS} are the fewest, hips, knees or ankles among them.` : `${count} set.`;
  $('dots-command').textContent = `aplomb dots ${quoted(dotsName())} --page ${quoted(dotsName().replace(/json$/, 'html'))}`;
}

const dotsName = () => `${drawing.name.replace(/\.[^.]*$/, '')}.json`;
const quoted = (name) => /^[\w.-]+$/.test(name) ? name : `'${name.replaceAll("'", "'\\''")}'`;

/** `place`: null where the dot is not seen. */
function setDot(place) {
  const { dots, done, at } = drawing;
  if (!at) return;
  done.push([at, dots.get(at)]);
  dots.set(at, place);
  const after = DOTS.indexOf(at) + 1;
  drawing.at = [...DOTS.slice(after), ...DOTS.slice(0, after)].find((dot) => !dots.has(dot));
  drawDots();
}

function undoDot() {
  const last = drawing.done.pop();
  if (!last) return;
  const [dot, before] = last;
  if (before === undefined) drawing.dots.delete(dot);
  else drawing.dots.set(dot, before);
  drawing.at = dot;
  drawDots();
}

const onDrawing = (x, y) => {
  const decimals = Math.max(drawing.width, drawing.height) < 600 ? 1 : 0;
  return [rounded(Math.min(Math.max(x, 0), drawing.width), decimals), rounded(Math.min(Math.max(y, 0), drawing.height), decimals)];
};

function moveMark(event) {
  const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
  if (!way && event.key !== 'Enter' && event.key !== 'Backspace') return;
  event.preventDefault();
  if (event.key === 'Enter') return setDot(drawing.mark);
  if (event.key === 'Backspace') return undoDot();
  const step = event.shiftKey ? 1 : Math.max(1, Math.round(Math.max(drawing.width, drawing.height) / 100));
  drawing.mark = onDrawing(drawing.mark[0] + step * way[0], drawing.mark[1] + step * way[1]);
  drawDots();
}

function saveDots() {
  const dots = Object.fromEntries(dotsSet().map((dot) => [dot, drawing.dots.get(dot)]));
  save(dotsName(), JSON.stringify({ image: drawing.name, build: $('dots-build').value, dots }, null, 1), 'application/json');
}

function listenForDots() {
  $('dots-frame').addEventListener('click', (event) => {
    const place = $('dots-picture').getBoundingClientRect();
    drawing.mark = onDrawing((event.clientX - place.left) / place.width * drawing.width, (event.clientY - place.top) / place.height * drawing.height);
    setDot(drawing.mark);
  });
  $('dots-frame').addEventListener('keydown', moveMark);
  $('dot-undo').addEventListener('click', undoDot);
  $('dot-unseen').addEventListener('click', () => setDot(null));
  $('dots-save').addEventListener('click', saveDots);
  $('drawing-close').addEventListener('click', () => { closeDrawing(); if (complainedOf === 'file') complain(''); });
}
