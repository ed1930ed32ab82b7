// A plain plot over engine speed, drawn as lines that stay sharp on paper.
import { make } from './dom.js';
import { ink } from './colours.js';
import { speeds, study } from './study.js';

const size = { width: 320, height: 190 };
const frame = { left: 42, right: 18, top: 10, bottom: 30 };

// Round steps that divide a span into four to eight parts.
export function roundStep(span) {
  const power = 10 ** Math.floor(Math.log10(span / 4));
  return [1, 2, 2.5, 5, 10].map((k) => k * power).find((step) => span / step <= 8);
}

// lines: [{ values by speed or null, colour, dash }]; unitName of the vertical axis.
export function speedPlot({ name, label, unitName, lines }) {
  const known = lines.flatMap(({ values }) => values.filter((v) => v !== null));
  if (known.length === 0) return make('p', { class: 'quiet small' }, `${name}: no speed counts.`);
  const [least, most] = [Math.min(...known), Math.max(...known)];
  const step = roundStep(Math.max(most - least, 1e-3 * Math.abs(most), 1e-9));
  const from = Math.floor(least / step) * step;
  const to = Math.max(from + step, Math.ceil(most / step) * step);
  const [first, last] = [speeds[0], speeds[speeds.length - 1]];
  const span = last > first ? last - first : 1;
  const x = (rpm) => frame.left + ((rpm - first) / span) * (size.width - frame.left - frame.right);
  const y = (value) => size.height - frame.bottom - ((value - from) / (to - from)) * (size.height - frame.top - frame.bottom);
  const marks = [];
  for (let k = 0; k <= Math.round((to - from) / step); k += 1) marks.push(from + k * step);
  const speedStep = roundStep(span);
  const speedMarks = [];
  for (let rpm = Math.ceil(first / speedStep) * speedStep; rpm <= last + 1e-6; rpm += speedStep) speedMarks.push(rpm);
  const path = (values) => {
    let pen = 'M';
    return values
      .map((v, s) => {
        if (v === null) {
          pen = 'M';
          return '';
        }
        const point = `${pen}${x(speeds[s]).toFixed(1)} ${y(v).toFixed(1)}`;
        pen = 'L';
        return point;
      })
      .join('');
  };
  const [bandFrom, bandTo] = study.band_rpm.map((rpm) => x(Math.min(last, Math.max(first, rpm))));
  return make(
    'svg',
    { class: 'speed-plot', role: 'img', 'aria-label': label, viewBox: `0 0 ${size.width} ${size.height}` },
    make('rect', { x: bandFrom, y: frame.top, width: Math.max(0, bandTo - bandFrom), height: size.height - frame.top - frame.bottom, class: 'plot-band' }),
    marks.flatMap((mark) => [
      make('line', { x1: frame.left, x2: size.width - frame.right, y1: y(mark), y2: y(mark), class: 'plot-grid' }),
      make('text', { x: frame.left - 4, y: y(mark) + 3, class: 'plot-text', 'text-anchor': 'end' }, String(Number(mark.toPrecision(5)))),
    ]),
    speedMarks.map((rpm) => make('text', { x: x(rpm), y: size.height - frame.bottom + 12, class: 'plot-text', 'text-anchor': 'middle' }, String(Math.round(rpm)))),
    lines.map(({ values, colour, dash }) =>
      make('path', { d: path(values), fill: 'none', stroke: colour ?? ink('ink'), 'stroke-width': 1.6, 'stroke-dasharray': dash?.join(' ') || null })
    ),
    make('text', { x: frame.left, y: size.height - 4, class: 'plot-text' }, `${name}, ${unitName}, over rpm`)
  );
}
