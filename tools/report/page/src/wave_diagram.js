// Wave diagram: pressure as colour over crank angle and distance from the valve. Drag or Shift and
// arrow keys pan through the periodic cycle; wheel, buttons, + and - zoom.
import { make, foreign, oneOf } from './dom.js';
import { Chart, axisX, axisY } from './chart.js';
import { choice, choose, onChange } from './choice.js';
import { diverging, divergingCss, ink } from './colours.js';
import { headers, diagramSpeeds, folded, nearest, rpm, study, wavePressure } from './study.js';
import { plain, shown, unit } from './units.js';

const view = { from: 0, span: 720 };
const rows = study.diagram_angles;

// The stored diagram nearest to the selected speed; null if the header has no diagram.
function current() {
  const stored = diagramSpeeds(choice.header);
  if (stored.length === 0) return null;
  const speed = nearest(stored, choice.speed);
  const header = headers[choice.header];
  const cylinder = header.points[speed].wave.cylinder;
  return {
    speed,
    cylinder,
    distance: header.diagram.distance,
    starts: header.diagram.pipe_start,
    names: header.diagram.pipe_name,
    pressure: wavePressure(choice.header, speed),
    shift: study.valves?.firing[String(cylinder)] ?? 0, // from the engine's to the cylinder's crank angle
  };
}

// The gauge pressure of the strongest colour, Pa: the 99th percentile.
function colourLimit(diagram) {
  const sizes = Array.from(diagram.pressure, (p) => Math.abs(p - study.ambient_pressure));
  sizes.sort((a, b) => a - b);
  return Math.max(1000, sizes[Math.floor(0.99 * (sizes.length - 1))]);
}

function pipeSpans(diagram) {
  const last = diagram.distance.length - 1;
  const end = diagram.distance[last] + 0.5 * (diagram.distance[last] - diagram.distance[last - 1]);
  return diagram.starts.map((start, i) => {
    const stop = diagram.starts[i + 1] ?? end;
    const inside = diagram.distance.map((x, k) => [x, k]).filter(([x]) => x > start && x < stop).map(([, k]) => k);
    return { start, stop, first: inside[0], count: inside.length, name: diagram.names[i] };
  });
}

// One image per pipe, because the cell size differs from pipe to pipe.
function paint(diagram) {
  const limit = colourLimit(diagram);
  const columns = diagram.distance.length;
  const images = pipeSpans(diagram).map((span) => {
    const canvas = make('canvas', { width: rows, height: span.count });
    const context = canvas.getContext('2d');
    const image = context.createImageData(rows, span.count);
    for (let a = 0; a < rows; a += 1) {
      for (let c = 0; c < span.count; c += 1) {
        const p = diagram.pressure[a * columns + span.first + c];
        const [r, g, b] = diverging((p - study.ambient_pressure) / limit);
        const at = 4 * ((span.count - 1 - c) * rows + a);
        image.data.set([r, g, b, 255], at);
      }
    }
    context.putImageData(image, 0, 0);
    return { ...span, canvas };
  });
  return { limit, images };
}

function draw(plot, diagram, painted) {
  const { ctx: context, bbox } = plot;
  const ratio = devicePixelRatio;
  const factor = unit('length').factor;
  const x = (angle) => plot.valToPos(angle, 'x', true);
  const y = (distance) => plot.valToPos(distance * factor, 'y', true);
  const cycles = [];
  for (let cycle = Math.floor(view.from / 720) - 1; 720 * cycle < view.from + view.span + 720; cycle += 1) cycles.push(720 * cycle);
  context.save();
  context.beginPath();
  context.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  context.clip();
  context.imageSmoothingEnabled = true;
  for (const { start, stop, canvas } of painted.images) {
    for (const cycle of cycles) {
      const left = x(cycle - diagram.shift);
      context.drawImage(canvas, left, y(stop), x(cycle - diagram.shift + 720) - left + 1, y(start) - y(stop));
    }
  }
  context.font = `${12 * ratio}px system-ui, sans-serif`;
  context.lineWidth = ratio;
  context.strokeStyle = '#14181c';
  const labels = []; // drawn last, on a ground of their own, so that no line strikes them through
  for (const { start, name } of painted.images) {
    if (start > 0) {
      context.beginPath();
      context.moveTo(bbox.left, y(start));
      context.lineTo(bbox.left + bbox.width, y(start));
      context.stroke();
    }
    labels.push([name, bbox.left + bbox.width - 6 * ratio, y(start) - 6 * ratio, 'right']);
  }
  context.setLineDash([4 * ratio, 4 * ratio]);
  const valves = study.valves ?? {};
  for (const [name, key, align] of [['EVO', 'exhaust_opens', 'left'], ['EVC', 'exhaust_closes', 'left'], ['IVO', 'intake_opens', 'right']]) {
    if (valves[key] === undefined) continue;
    for (const cycle of cycles) {
      const at = x(folded(valves[key]) + cycle);
      context.strokeStyle = '#14181c';
      context.beginPath();
      context.moveTo(at, bbox.top);
      context.lineTo(at, bbox.top + bbox.height);
      context.stroke();
      labels.push([name, at + (align === 'left' ? 4 : -4) * ratio, bbox.top + 14 * ratio, align]);
    }
  }
  for (const [text, at, base, align] of labels) {
    const { width } = context.measureText(text);
    context.fillStyle = 'rgb(255 255 255 / 0.85)';
    context.fillRect((align === 'left' ? at : at - width) - 2 * ratio, base - 11 * ratio, width + 4 * ratio, 14 * ratio);
    context.fillStyle = '#14181c';
    context.textAlign = align;
    context.fillText(text, at, base);
  }
  context.restore();
}

// An angle of the axis within the cycle; a cycle that ends at the right edge ends at 720.
function angleText(angle) {
  const inside = Math.round(folded(angle));
  return String(inside === 0 && angle >= view.from + view.span - 1e-6 ? 720 : inside);
}

function pressureAt(diagram, angle, metres) {
  let column = 0;
  diagram.distance.forEach((x, k) => {
    if (Math.abs(x - metres) < Math.abs(diagram.distance[column] - metres)) column = k;
  });
  const row = Math.round((folded(angle + diagram.shift) / 720) * rows) % rows;
  return diagram.pressure[row * diagram.distance.length + column];
}

export function waveSection() {
  const heading = make('h3', {});
  const note = make('span');
  const scale = make('div', { class: 'colour-scale' });
  let diagram = null;
  let painted = null;
  const longest = () => {
    if (!painted) return 1; // without a diagram the frame is hidden, and laid out in print all the same
    const spans = painted.images;
    return spans[spans.length - 1].stop * unit('length').factor;
  };
  const grid = Array.from({ length: 3 * 720 + 1 }, (_, k) => k - 720);
  const chart = new Chart({
    name: 'wave',
    title: () => `Distance from the valve, ${unit('length').name}, against crank angle of cylinder ${diagram?.cylinder ?? ''}`,
    label: () =>
      `Wave diagram: pressure along the path of cylinder ${diagram?.cylinder}, from valve to tail, over the cycle. Up and down arrows change the distance; Shift with left or right pans; plus and minus zoom.`,
    height: 420,
    paperHeight: 320,
    describe: () => ({
      data: [grid, grid.map(() => null)],
      series: [{}, {}],
      cursor: { x: true, y: true, drag: { x: false, y: false }, points: { show: false } },
      scales: { x: { time: false, range: () => [view.from, view.from + view.span] }, y: { range: () => [0, longest()] } },
      axes: [
        axisX('deg of crank, 0 = firing TDC', { incrs: [15, 30, 45, 90, 180], space: 44, grid: { show: false }, values: (_, splits) => splits.map(angleText) }),
        axisY('', { label: null, size: 50, grid: { show: false } }),
      ],
      hooks: { drawClear: [(plot) => painted && draw(plot, diagram, painted)] },
      reading: (k) => {
        const u = unit('length');
        const { top } = chart.plot.cursor;
        const metres = chart.plot.posToVal(Math.max(0, top), 'y') / u.factor;
        const p = pressureAt(diagram, grid[k], metres) - study.ambient_pressure;
        return [
          `${plain(folded(grid[k]), 0)} deg, ${shown(metres, 'length')} ${u.name}`,
          [{ colour: divergingCss(p / painted.limit), text: `${shown(p, 'pressure')} ${unit('pressure').name} gauge` }],
        ];
      },
    }),
  });
  const show = () => {
    view.from = Math.max(-720, Math.min(1440 - view.span, view.from));
    chart.plot?.setScale('x', { min: view.from, max: view.from + view.span });
  };
  const zoom = (factor, at = view.from + view.span / 2) => {
    const span = Math.min(1440, Math.max(60, view.span * factor));
    view.from = at - ((at - view.from) * span) / view.span;
    view.span = span;
    show();
  };
  const pan = (degrees) => {
    view.from += degrees;
    // The cycle is periodic: keep the view near the first one.
    if (view.from < -360) view.from += 720;
    if (view.from > 360 && view.from + view.span > 1080) view.from -= 720;
    show();
  };
  let drag = null;
  chart.frame.addEventListener('pointerdown', (event) => {
    if (event.pointerType === 'mouse' && event.button !== 0) return;
    drag = { x: event.clientX, from: view.from };
    chart.frame.setPointerCapture(event.pointerId);
  });
  chart.frame.addEventListener('pointermove', (event) => {
    if (!drag || !chart.plot) return;
    const moved = ((event.clientX - drag.x) / chart.plot.over.clientWidth) * view.span;
    drag.x = event.clientX;
    pan(-moved);
  });
  for (const name of ['pointerup', 'pointercancel']) chart.frame.addEventListener(name, () => { drag = null; });
  chart.frame.addEventListener(
    'wheel',
    (event) => {
      if (!event.ctrlKey && !event.shiftKey) return; // the page scrolls
      event.preventDefault();
      const box = chart.plot.over.getBoundingClientRect();
      const at = view.from + ((event.clientX - box.left) / box.width) * view.span;
      zoom((event.deltaY || event.deltaX) > 0 ? 1.15 : 1 / 1.15, at);
    },
    { passive: false }
  );
  chart.frame.addEventListener(
    'keydown',
    (event) => {
      const actions = {
        '+': () => zoom(1 / 1.5),
        '-': () => zoom(1.5),
        ArrowUp: () => moveUp(-12),
        ArrowDown: () => moveUp(12),
      };
      if (event.shiftKey && event.key === 'ArrowLeft') actions.ArrowLeft = () => pan(-view.span / 12);
      if (event.shiftKey && event.key === 'ArrowRight') actions.ArrowRight = () => pan(view.span / 12);
      if (!actions[event.key]) return;
      event.preventDefault();
      event.stopImmediatePropagation();
      actions[event.key]();
    },
    { capture: true }
  );
  const moveUp = (pixels) => {
    const { left, top } = chart.plot.cursor;
    const inside = left >= 0;
    chart.plot.setCursor({
      left: inside ? left : chart.plot.over.clientWidth / 2,
      top: Math.min(chart.plot.over.clientHeight - 1, Math.max(1, (inside ? top : chart.plot.over.clientHeight / 2) + pixels)),
    });
  };
  const button = (name, text, act) => make('button', { type: 'button', 'aria-label': name, title: name, onclick: act }, text);
  const buttons = make(
    'div',
    { class: 'buttons', role: 'group', 'aria-label': 'View of the wave diagram' },
    button('Earlier', '◀', () => pan(-view.span / 6)),
    button('Later', '▶', () => pan(view.span / 6)),
    button('Zoom in', '+', () => zoom(1 / 1.5)),
    button('Zoom out', '−', () => zoom(1.5)),
    button('Whole cycle', 'Whole cycle', () => {
      Object.assign(view, { from: 0, span: 720 });
      show();
    })
  );
  const speedsStored = make('div', {});
  const body = make(
    'div',
    {},
    make('div', { class: 'controls' }, speedsStored, buttons, scale),
    chart.element,
    make('p', { class: 'quiet small' }, note, make('span', { class: 'screen-only' }, ' Drag to pan. The case file selects speeds and cylinder.'))
  );
  const empty = make('p', {}, 'No wave diagram is stored for this header.');
  const refresh = () => {
    diagram = current();
    heading.replaceChildren('Wave diagram, ', foreign(headers[choice.header].name), diagram ? ` at ${rpm(diagram.speed)}` : '');
    body.hidden = !diagram;
    empty.hidden = Boolean(diagram);
    if (!diagram) return;
    painted = paint(diagram);
    const chooser = oneOf(
      'Speeds that have a wave diagram',
      diagramSpeeds(choice.header).map((s) => [String(s), rpm(s)]),
      () => String(diagram.speed),
      (s) => choose({ speed: Number(s) })
    );
    speedsStored.replaceChildren(chooser);
    const u = unit('pressure');
    const gradient = Array.from({ length: 9 }, (_, i) => divergingCss(i / 4 - 1)).join(', ');
    scale.replaceChildren(
      make('span', {}, shown(-painted.limit, 'pressure')),
      make('span', { class: 'bar', style: `background:linear-gradient(to right, ${gradient})`, 'aria-hidden': 'true' }),
      make('span', {}, `+${shown(painted.limit, 'pressure')} ${u.name} gauge`)
    );
    note.textContent =
      (diagram.speed === choice.speed ? '' : `Diagrams are stored at some speeds only; this is the one nearest to ${rpm(choice.speed)}. `) +
      `From the exhaust valve of cylinder ${diagram.cylinder} (bottom) to the open end of the tail (top). Waves that rise to the right travel outward, those that fall to the right return; blue is below ambient pressure, red above.`;
    chart.refresh();
  };
  refresh();
  onChange(['header', 'speed', 'units', 'theme'], refresh);
  return make('section', { id: 'wave-diagram', 'aria-label': 'Wave diagram' }, heading, empty, body);
}
