// Drawing of the header: tubes to scale, and each collector seen from the flange.
import { make, foreign, scrollFrame } from './dom.js';
import { choice, onChange } from './choice.js';
import { diameterAt, layOut, outline } from './header_layout.js';
import { headers } from './study.js';
import { shown, unit } from './units.js';

const scale = 1000; // drawn in mm
const letterWidth = 12.5; // of the dimensions, approximately
const margin = { left: 130, right: 30, top: 20, bottom: 70 };

function lengthOf(pipe, port) {
  const tube = pipe.cylinder === null ? pipe.length : pipe.length - port;
  return `${shown(tube, 'length')} ${unit('length').name}`;
}

// Inside diameters from x to the end.
function diametersOf(pipe, x) {
  const ends = [diameterAt(pipe, x), diameterAt(pipe, pipe.length)];
  const places = unit('length').name === 'mm' ? 1 : 2;
  const [a, b] = ends.map((d) => shown(d, 'length', places));
  return a === b ? `⌀ ${a}` : `⌀ ${a}–${b}`;
}

function pipeShape(pipe, drawing) {
  const points = outline(pipe).map(([x, y]) => `${(x * scale).toFixed(1)},${(y * scale).toFixed(1)}`).join(' ');
  const port = drawing.port_length;
  const flange = (pipe.x + port) * scale;
  const half = 0.5 * diameterAt(pipe, port) * scale + 8;
  const first = pipe.cylinder !== null;
  const dimensions = first
    ? `${lengthOf(pipe, port)}, ${diametersOf(pipe, pipe.length)}`
    : `${pipe.name}, ${lengthOf(pipe, port)}, ${diametersOf(pipe, 0)}`;
  const start = first ? port : 0;
  // Inside the pipe if it fits, otherwise above it.
  const fits = dimensions.length * letterWidth < (pipe.length - start) * scale - 30;
  const textX = (pipe.x + start) * scale + (fits ? 15 : 0);
  const textY = pipe.y * scale + (fits ? 8 : -0.5 * diameterAt(pipe, 0) * scale - 8);
  return [
    make('polygon', { points, class: first ? 'tube' : 'tube shared' }),
    first && port > 0
      ? make('line', { x1: flange, x2: flange, y1: pipe.y * scale - half, y2: pipe.y * scale + half, class: 'flange' })
      : null,
    make(
      'text',
      { x: textX, y: textY, class: 'dimension' },
      dimensions
    ),
    first ? make('text', { x: pipe.x * scale - 14, y: pipe.y * scale + 9, class: 'number', 'text-anchor': 'end' }, `cyl. ${pipe.cylinder}`) : null,
  ];
}

function sideView(header) {
  const { drawing } = header;
  const plan = layOut(drawing);
  const width = plan.width * scale + margin.left + margin.right;
  const height = plan.height * scale + margin.top + margin.bottom;
  const lines = plan.pipes
    .filter((pipe) => pipe.next !== null)
    .map((pipe) => {
      const to = plan.pipes[pipe.next];
      return make('line', {
        x1: (pipe.x + pipe.length) * scale,
        y1: pipe.y * scale,
        x2: to.x * scale,
        y2: to.y * scale,
        class: 'connection',
      });
    });
  const bar = 200;
  const words = drawing.paths
    .map(({ cylinder, pipes }) => `cylinder ${cylinder}: ${pipes.map((i) => `${drawing.pipes[i].name} ${shown(drawing.pipes[i].length, 'length')} ${unit('length').name}`).join(', ')}`)
    .join('; ');
  const barLength = unit('length').name === 'mm' ? bar : 203.2;
  return scrollFrame(
    'Header to scale',
    make(
      'svg',
      {
        class: 'header-drawing',
        role: 'img',
        viewBox: `${-margin.left} ${-margin.top} ${width.toFixed(0)} ${height.toFixed(0)}`,
        'aria-label': `Header ${header.name}, lengths with the port in the head: ${words}.`,
      },
      lines,
      plan.pipes.flatMap((pipe) => pipeShape(pipe, drawing)),
      make('line', { x1: 0, x2: barLength, y1: plan.height * scale + 30, y2: plan.height * scale + 30, class: 'scale-bar' }),
      make('text', { x: barLength + 12, y: plan.height * scale + 38, class: 'dimension' }, unit('length').name === 'mm' ? '200 mm' : '8 in')
    )
  );
}

function faceView(group, drawing) {
  const n = group.cylinders.length;
  const last = (cylinder) => {
    const path = drawing.paths.find((one) => one.cylinder === cylinder);
    const pipe = drawing.pipes[path.pipes[0]];
    return diameterAt(pipe, pipe.length) * scale;
  };
  const diameter = Math.max(...group.cylinders.map(last));
  const ring = n > 1 ? (diameter * 1.06) / (2 * Math.sin(Math.PI / n)) : 0;
  const outer = ring + 0.5 * diameter + 4;
  const at = (position) => {
    const radians = (2 * Math.PI * (position - 1)) / n - Math.PI / 2 - Math.PI / n;
    return [ring * Math.cos(radians), ring * Math.sin(radians)];
  };
  const tubes = group.cylinders.map((cylinder, i) => {
    const [cx, cy] = at(group.position[i]);
    return [
      make('circle', { cx, cy, r: 0.5 * last(cylinder), class: 'tube' }),
      make('text', { x: cx, y: cy + 2, class: 'face-number', 'text-anchor': 'middle' }, String(cylinder)),
      make('text', { x: cx, y: cy + 15, class: 'face-order', 'text-anchor': 'middle' }, ['1st', '2nd', '3rd'][i] ?? `${i + 1}th`),
    ];
  });
  const box = outer + 10;
  const words = group.cylinders.map((c, i) => `cylinder ${c} in position ${group.position[i]}`).join(', ');
  return make(
    'figure',
    { class: 'face' },
    make(
      'svg',
      { viewBox: `${-box} ${-box} ${2 * box} ${2 * box}`, role: 'img', 'aria-label': `Collector ${group.name} seen from the flange, clockwise: ${words}.` },
      make('circle', { cx: 0, cy: 0, r: outer, class: 'ring' }),
      tubes.flat()
    ),
    make('figcaption', {}, 'Collector ', foreign(group.name), ` · firing ${group.cylinders.join('–')}, ${group.interval_deg.map((g) => Math.round(g)).join('/')} deg apart`)
  );
}

export function drawingSection() {
  const heading = make('h3', { id: 'drawing-title' });
  const body = make('div');
  const refresh = () => {
    const header = headers[choice.header];
    heading.replaceChildren('Header to scale, ', foreign(header.name));
    if (!header.drawing) {
      body.replaceChildren(make('p', {}, 'The case file in the results could not be read by this version, so there is no drawing.'));
      return;
    }
    const { drawing } = header;
    body.replaceChildren(
      ...[
        sideView(header),
        make(
          'p',
          { class: 'quiet small' },
          `Lengths and inside diameters (⌀, ${unit('length').name}) to scale, tubes straightened; thin lines show the connections and are not to scale. `,
          drawing.port_length > 0
            ? `Tube lengths start at the flange (short cross line); the ${shown(drawing.port_length, 'length')} ${unit('length').name} before it are the port in the head.`
            : ''
        ),
        drawing.groups.length > 0
          ? make('div', { class: 'faces' }, drawing.groups.map((group) => faceView(group, drawing)))
          : null,
        drawing.groups.length > 0
          ? make('p', { class: 'quiet small' }, 'Collectors seen from the flange in flow direction; 1st, 2nd, … is the firing order. Positions as collector_order of the case file gives them, otherwise firing round the collector.')
          : null,
      ].filter(Boolean)
    );
  };
  refresh();
  onChange(['header', 'units'], refresh);
  return make('section', { id: 'drawing', 'aria-labelledby': 'drawing-title' }, heading, body);
}
