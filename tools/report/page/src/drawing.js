// Drawing of the header: all its pipes to scale, a list of what they are cut from, and each merge
// seen from the flange. On paper every header is drawn.
import { make, foreign, scrollFrame, table } from './dom.js';
import { choice, onChange } from './choice.js';
import { isPrinting } from './colours.js';
import { diameterAt, largestDiameter, layOut, outline, piecesOf, smallestRow } from './header_layout.js';
import { headers } from './study.js';
import { shown, unit, withUnit } from './units.js';

const scale = 1000; // drawn in mm

const mm = (value) => (value * scale).toFixed(1);

function diameterText(value) {
  return shown(value, 'length', unit('length').name === 'mm' ? 1 : 2);
}

function diametersText([a, b]) {
  const [first, second] = [diameterText(a), diameterText(b)];
  return first === second ? `⌀ ${first}` : `⌀ ${first}–${second}`;
}

// What stands at a part of a pipe: as much of name, length, tube and diameter as there is room for.
function partLabels(pipe, part) {
  const length = withUnit(part.to - part.from, 'length');
  const pieces = piecesOf(pipe, part);
  // Where a tube starts with the taper from the port, its own bore is that of its end.
  const inside = diametersText([diameterAt(pipe, part.tube ? part.to : part.from), diameterAt(pipe, part.to)]);
  const size = part.tube || inside;
  const name = pipe.cylinder === null ? `${part.name}, ` : '';
  const bore = part.tube && pieces.length > 0 ? `, ${inside}` : '';
  // "collector 400 mm", but "catalyst 152 mm" of "part 1 catalyst left".
  const words = name.split(' ');
  const kind = words[0] === 'part' && words.length > 2 ? words[2].replace(',', '') : words[0];
  const texts = [`${name}${length}, ${size}${bore}`, `${name}${length}, ${size}`, `${name}${length}`, `${kind} ${length}`, length];
  return pipe.body ? texts.slice(2, 4) : texts; // a muffler is told from its name, not its length
}

// The label of a part of a pipe, which is inside the tube if it fits there, otherwise above it; beside
// it where a pipe has a row of its own. In drawn units: { text, x, y, level: not above }.
function partLabel(pipe, part, letters) {
  const space = (part.to - part.from) * scale - letters;
  const texts = partLabels(pipe, part);
  const fits = (text) => text.length * 0.55 * letters < space;
  const text = pipe.crossover ? texts[0] : (texts.find(fits) ?? texts[texts.length - 1]);
  const ends = [part.from, part.to].map((x) => diameterAt(pipe, x) * scale);
  const inside = fits(text) && Math.min(...ends) > 1.1 * letters;
  const level = inside || pipe.crossover;
  const x = pipe.crossover ? part.to * scale + 0.8 * letters : part.from * scale + (inside ? 0.5 : 0.1) * letters;
  return {
    text,
    level,
    x: pipe.x * scale + x,
    y: pipe.y * scale + (level ? 0.35 * letters : -0.5 * Math.max(...ends) - 0.3 * letters),
  };
}

// Labels above their tubes go up until they stand on no other one.
function placed(labels, letters) {
  const line = 1.15 * letters;
  const width = ({ text }) => 0.55 * letters * text.length;
  const overlap = (a, b) => a.x < b.x + width(b) && b.x < a.x + width(a) && Math.abs(a.y - b.y) < letters;
  const done = labels.filter(({ level }) => level);
  for (const label of labels.filter(({ level }) => !level).sort((a, b) => a.x - b.x)) {
    for (let tries = 0; tries < labels.length && done.some((other) => overlap(label, other)); tries += 1) label.y -= line;
    done.push(label);
  }
  return done;
}

function crossLine(pipe, x, name) {
  const at = mm(pipe.x + x);
  const half = 0.5 * diameterAt(pipe, x) + 0.008;
  return make('line', { x1: at, x2: at, y1: mm(pipe.y - half), y2: mm(pipe.y + half), class: name });
}

const endNames = { open: 'outlet', closed: 'closed end', anechoic: 'end without reflection' };

// The cylinder, or what else a pipe begins or ends at.
function endShapes(pipe, nodes, letters) {
  const shapes = [];
  const textAt = (x, anchor, text, name) =>
    make('text', { x: x.toFixed(1), y: (pipe.y * scale + 0.35 * letters).toFixed(1), class: name, 'font-size': letters, 'text-anchor': anchor }, text);
  const start = nodes[pipe.from];
  if (start?.kind === 'cylinder') shapes.push(textAt(pipe.x * scale - 0.6 * letters, 'end', `cyl. ${start.cylinder}`, 'number'));
  else if (start && start.kind !== 'junction') {
    shapes.push(textAt(pipe.x * scale - 0.6 * letters, 'end', start.kind === 'open' ? 'open end' : endNames[start.kind], 'dimension'));
    if (start.kind === 'closed') shapes.push(crossLine(pipe, 0, 'flange'));
  }
  const end = nodes[pipe.to];
  if (end && endNames[end.kind]) {
    shapes.push(textAt((pipe.x + pipe.length) * scale + 0.6 * letters, 'start', endNames[end.kind], 'dimension'));
    if (end.kind === 'closed') shapes.push(crossLine(pipe, pipe.length, 'flange'));
  }
  return shapes;
}

function pipeShape(pipe, nodes, letters) {
  const points = outline(pipe).map(([x, y]) => `${mm(x)},${mm(y)}`).join(' ');
  const name = pipe.cylinder !== null ? 'tube' : pipe.crossover ? 'tube shared crossover' : 'tube shared';
  return [
    make('polygon', { points, class: name, 'data-pipe': pipe.name }),
    pipe.port > 0 ? crossLine(pipe, pipe.port, 'flange') : null,
    ...pipe.parts.map((part) => (part.from > pipe.port + 1e-9 ? crossLine(pipe, part.from, 'seam') : null)),
    ...endShapes(pipe, nodes, letters),
  ];
}

// Lines from every pipe's end to its junction, and the junctions.
function connections(plan) {
  const lines = plan.pipes.flatMap((pipe) =>
    [[pipe.from, pipe.x], [pipe.to, pipe.x + pipe.length]].map(([node, x]) => {
      const junction = plan.nodes[node];
      return junction ? make('line', { x1: mm(x), y1: mm(pipe.y), x2: mm(junction.x), y2: mm(junction.y), class: 'connection' }) : null;
    })
  );
  const circles = plan.nodes
    .filter(Boolean)
    .map((node) => make('circle', { cx: mm(node.x), cy: mm(node.y), r: 9, class: 'junction' }, make('title', {}, node.name)));
  return [...lines, ...circles];
}

// All pipes in words, lengths without the port.
function inWords(drawing) {
  return drawing.pipes
    .map((pipe) => {
      const start = drawing.nodes[pipe.from];
      const from = start?.kind === 'cylinder' ? ` from cylinder ${start.cylinder}` : '';
      return `${pipe.parts.map((part) => `${part.name} ${withUnit(part.to - part.from, 'length')}`).join(', ')}${from}`;
    })
    .join('; ');
}

// drawn: the class of the drawing.
export function sideView(header, drawn = 'header-drawing') {
  const { drawing } = header;
  let plan = layOut(drawing);
  // Letters have the same size on the screen for short and long headers.
  const letters = Math.max(12, 0.0145 * (plan.width * scale + 260));
  const labelsOf = (pipes) => pipes.flatMap((pipe) => pipe.parts.map((part) => partLabel(pipe, part, letters)));
  // Room for the labels of primaries that stand above them; on a sheet of one page just a line.
  const primaries = plan.pipes.filter(({ cylinder }) => cylinder !== null);
  if (labelsOf(primaries).some(({ level }) => !level)) {
    const line = letters / scale;
    plan = layOut(drawing, drawn === 'header-drawing' ? Math.max(...primaries.map(largestDiameter)) + 1.4 * line : Math.max(smallestRow, 1.05 * line));
  }
  const labels = placed(labelsOf(plan.pipes), letters);
  const highest = Math.min(0, ...labels.map(({ y }) => y - letters));
  const margin = { left: 5 * letters, right: 5 * letters, top: 1.2 * letters - highest, bottom: 3.2 * letters };
  const bottom = plan.height * scale;
  const metric = unit('length').name === 'mm';
  const bar = metric ? 200 : 203.2;
  const box = [-margin.left, -margin.top, plan.width * scale + margin.left + margin.right, bottom + margin.top + margin.bottom];
  return scrollFrame(
    'Header to scale',
    make(
      'svg',
      {
        class: drawn,
        role: 'img',
        viewBox: box.map((v) => v.toFixed(0)).join(' '),
        'aria-label': `Header ${header.name}, lengths without the port in the head: ${inWords(drawing)}.`,
      },
      connections(plan),
      plan.pipes.flatMap((pipe) => pipeShape(pipe, drawing.nodes, letters)),
      labels.map(({ text, x, y }) => make('text', { x: x.toFixed(1), y: y.toFixed(1), class: 'dimension', 'font-size': letters }, text)),
      make('line', { x1: 0, x2: bar, y1: bottom + letters, y2: bottom + letters, class: 'scale-bar' }),
      make('text', { x: bar + 0.5 * letters, y: bottom + 1.35 * letters, class: 'dimension', 'font-size': letters }, metric ? '200 mm' : '8 in')
    )
  );
}

function shapeWords(pipe, part) {
  const pieces = piecesOf(pipe, part);
  const words = pieces.map(({ length, diameters }, k) => {
    const [a, b] = diameters.map(diameterText);
    const before = k > 0 ? diameterText(pieces[k - 1].diameters[1]) : a;
    const step = before === a ? '' : `step to ⌀ ${a}, `;
    return `${step}${a === b ? `straight ${shown(length, 'length')}` : `cone ${shown(length, 'length')}, ⌀ ${a}–${b}`}`;
  });
  return words.length === 1 && !words[0].startsWith('cone') ? 'straight' : words.join('; ');
}

const byNumber = new Intl.Collator('en', { numeric: true });

// "primary 1, 3" of the names "primary 1" and "primary 3".
function joinedNames(names) {
  const stem = names[0].slice(0, names[0].lastIndexOf(' ') + 1);
  if (stem === '' || !names.every((name) => name.startsWith(stem))) return names.join(', ');
  return stem + names.map((name) => name.slice(stem.length)).join(', ');
}

// What the header is cut from, parts that are the same in one row.
function partsTable(header) {
  const { drawing } = header;
  const rows = new Map();
  for (const pipe of drawing.pipes) {
    for (const part of pipe.parts) {
      const ends = [diameterAt(pipe, part.from + 1e-9), diameterAt(pipe, part.to)];
      const bore = pipe.body
        ? diameterText(largestDiameter(pipe))
        : ends[0] === ends[1] || part.tube
          ? diameterText(ends[1])
          : ends.map(diameterText).join('–');
      const shape = shapeWords(pipe, part);
      const cells = [shown(part.to - part.from, 'length'), part.tube || '–', bore, pipe.body && shape === 'straight' ? 'shell' : shape];
      const key = cells.join('|');
      if (!rows.has(key)) rows.set(key, { names: [], cells });
      rows.get(key).names.push(part.name);
    }
  }
  const u = unit('length').name;
  return table(
    `Parts of header ${header.name}`,
    ['Part', 'Pieces', `Length, ${u}`, 'Tube as ordered', `Inside ⌀, ${u}`, `Shape, ${u}`],
    [...rows.values()].map(({ names, cells }) => [foreign(joinedNames(names.sort(byNumber.compare))), String(names.length), ...cells]),
    { class: 'parts' }
  );
}

function clockText(clock) {
  const minutes = Math.round((clock / 360) * 24) * 30; // to the half hour
  const hour = Math.floor(minutes / 60) % 12;
  return `${hour === 0 ? 12 : hour}:${String(minutes % 60).padStart(2, '0')}`;
}

// framed: the class of the figure.
export function faceView(face, framed = 'face') {
  const n = face.tubes.length;
  const diameter = Math.max(...face.tubes.map((tube) => tube.diameter)) * scale;
  const ring = (diameter * 1.06) / (2 * Math.sin(Math.PI / n));
  const outer = ring + 0.5 * diameter + 4;
  const at = (clock, radius) => {
    const radians = ((clock - 90) * Math.PI) / 180;
    return [radius * Math.cos(radians), radius * Math.sin(radians)];
  };
  const letters = 0.16 * outer;
  const order = (label) => {
    const i = face.cylinders.indexOf(Number(label));
    return i < 0 ? '' : (['1st', '2nd', '3rd'][i] ?? `${i + 1}th`);
  };
  const tubes = face.tubes.map((tube) => {
    const [cx, cy] = at(tube.clock, ring);
    const [tx, ty] = at(tube.clock, outer + 1.1 * letters);
    const small = tube.label.length > 3;
    return [
      make('circle', { cx, cy, r: 0.5 * tube.diameter * scale, class: 'tube' }),
      make('text', { x: cx, y: cy + (order(tube.label) ? 0 : 0.4 * letters), class: 'face-number', 'font-size': small ? letters * 0.8 : letters * 1.4, 'text-anchor': 'middle' }, tube.label),
      make('text', { x: cx, y: cy + letters, class: 'face-order', 'font-size': letters * 0.85, 'text-anchor': 'middle' }, order(tube.label)),
      make('text', { x: tx, y: ty + 0.35 * letters, class: 'face-clock', 'font-size': letters, 'text-anchor': 'middle' }, clockText(tube.clock)),
    ];
  });
  const walls = face.walls.map((clock) => {
    const [x, y] = at(clock, outer);
    return make('line', { x1: 0, y1: 0, x2: x, y2: y, class: 'flange' });
  });
  const box = outer + 2.4 * letters;
  const words = face.tubes.map(({ label, clock }) => `${label} at ${clockText(clock)}`).join(', ');
  return make(
    'figure',
    { class: framed },
    make(
      'svg',
      { viewBox: [-box, -box, 2 * box, 2 * box].map((v) => v.toFixed(1)).join(' '), role: 'img', 'aria-label': `${face.name} seen from the flange, tubes by the clock: ${words}.` },
      make('circle', { cx: 0, cy: 0, r: outer, class: 'ring' }),
      tubes.flat(),
      walls
    ),
    make(
      'figcaption',
      {},
      foreign(face.name),
      `: ${words}. Firing ${face.cylinders.join('–')}, ${face.interval_deg.map((g) => Math.round(g)).join('/')} deg apart.`
    )
  );
}

function drawingOf(header) {
  const { drawing } = header;
  if (!drawing) return [make('p', {}, 'The case file in the results could not be read by this version, so there is no drawing.')];
  const ports = drawing.pipes.filter((pipe) => pipe.port > 0);
  const cylinders = drawing.pipes.filter((pipe) => drawing.nodes[pipe.from]?.kind === 'cylinder');
  const u = unit('length').name;
  return [
    sideView(header),
    make(
      'p',
      { class: 'quiet small' },
      `Tubes are straightened, lengths and inside diameters (⌀, ${u}) to scale; thin lines and dots show where pipes meet and are not to scale. `,
      ports.length > 0
        ? `Lengths are without the port: they start at the flange (short cross line), and the ${withUnit(ports[0].port, 'length')} before it lie in the head.`
        : '',
      ports.length < cylinders.length ? ' The case file does not say where the port ends: pipes start at the valve, ports included.' : ''
    ),
    partsTable(header),
    ...(drawing.faces.length > 0
      ? [
          make('div', { class: 'faces' }, drawing.faces.map((face) => faceView(face))),
          make('p', { class: 'quiet small' }, 'Merges seen from the flange, with the gas, places of the tubes by the clock. Only their order round the merge counts: turn it as it fits. 1st, 2nd, … is the firing order.'),
        ]
      : []),
  ];
}

export function drawingSection() {
  const body = make('div');
  const refresh = () => {
    const drawn = isPrinting() ? headers : [headers[choice.header]];
    body.replaceChildren(
      ...drawn.map((header) =>
        make(
          'div',
          { class: 'drawn-header' },
          make('h3', {}, 'Header to scale, ', foreign(header.name)),
          header.notes ? make('p', {}, foreign(header.notes)) : null,
          ...drawingOf(header)
        )
      )
    );
  };
  refresh();
  onChange(['header', 'units', 'theme', 'headers'], refresh);
  return make('section', { id: 'drawing', 'aria-label': 'Header to scale' }, body);
}
