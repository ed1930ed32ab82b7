// Figures over speed: one small chart each, a line per header.
import { make, foreign, numbersOnDemand, oneOf, select, table } from './dom.js';
import { Chart, axisX, axisY } from './chart.js';
import { choice, choose, onChange } from './choice.js';
import { faded, lineColour, lineDash } from './colours.js';
import { headers, hasNumbers, rpm, speeds, study } from './study.js';
import { plain, shown, unit } from './units.js';
import { swatch } from './swatch.js';

function cylinderValues(header, figure, s) {
  const point = header.points[s];
  return hasNumbers(point) ? point.cylinders[figure] : null;
}

// Value, lower and upper edge of the band of one header.
function lines(header, figure, byCylinder) {
  const { value, margin } = header.curves[figure];
  const of = choice.figureOf;
  const single = byCylinder && of !== 'mean';
  const middle = single
    ? speeds.map((_, s) => cylinderValues(header, figure, s)?.[Number(of)] ?? null)
    : value;
  const edge = (sign) =>
    speeds.map((_, s) => {
      if (middle[s] === null) return null;
      if (choice.band === 'uncertainty' && !single) {
        const at = middle[s] + sign * (margin[s] ?? 0);
        return figure === 'residual_fraction' ? Math.max(0, at) : at; // a fraction is not negative
      }
      const all = byCylinder ? cylinderValues(header, figure, s) : null;
      if (choice.band === 'cylinders' && all) return sign < 0 ? Math.min(...all) : Math.max(...all);
      return middle[s];
    });
  return { middle, low: edge(-1), high: edge(1) };
}

function describe(figure, kind, byCylinder) {
  const u = unit(kind);
  const scaled = (values) => values.map((v) => (v === null ? null : v * u.factor));
  const data = [speeds];
  const series = [{}];
  const bands = [];
  const visible = headers.map((_, i) => i).filter((i) => choice.shown[i]);
  const place = new Map(); // of each header's line among the data
  // The selected header has a wider line, above the others, and alone a band.
  for (const i of [...visible].sort((a, b) => Number(a === choice.header) - Number(b === choice.header))) {
    const selected = i === choice.header;
    const { middle, low, high } = lines(headers[i], figure, byCylinder);
    const colour = lineColour(i);
    place.set(i, data.length);
    data.push(scaled(middle));
    series.push({ stroke: colour, width: selected ? 3 : 1.75, dash: lineDash(i), points: { show: speeds.length < 3, size: 7 } });
    if (!selected || choice.band === 'none') continue;
    data.push(scaled(high), scaled(low));
    const edge = { stroke: 'transparent', width: 0, points: { show: false } };
    series.push(edge, edge);
    bands.push({ series: [series.length - 2, series.length - 1], fill: faded(colour, 0.16) });
  }
  return {
    data,
    series,
    bands,
    scales: { x: { time: false, range: speedRange() } },
    axes: [axisX('rpm'), axisY(u.name)],
    hooks: { drawClear: [drawBand] },
    reading: (s) => [
      rpm(s),
      visible.map((i) => ({
        colour: lineColour(i),
        text: `${headers[i].name} ${plain(data[place.get(i)][s], kind === 'percent' ? 2 : u.digits)} ${u.name}`,
      })),
    ],
  };
}

export function speedRange() {
  const first = speeds[0];
  const last = speeds[speeds.length - 1];
  return first === last ? [first - 250, last + 250] : [first, last];
}

// Shades the speed band over which the headers are compared.
function drawBand(plot) {
  const [from, to] = study.band_rpm.map((x) => plot.valToPos(x, 'x', true));
  const { left, top, width, height } = plot.bbox;
  const start = Math.max(left, from);
  const end = Math.min(left + width, to);
  if (end <= start) return;
  const context = plot.ctx;
  context.save();
  context.fillStyle = getComputedStyle(document.documentElement).getPropertyValue('--band');
  context.fillRect(start, top, end - start, height);
  context.restore();
}

function numbers(figure, kind, byCylinder) {
  const head = ['rpm', ...headers.map((header) => foreign(header.name))];
  const rows = speeds.map((_, s) => [
    String(Math.round(speeds[s])),
    ...headers.map((header) => {
      const { middle } = lines(header, figure, byCylinder);
      const own = byCylinder && choice.figureOf !== 'mean';
      const margin = own ? '' : ` ± ${shown(header.curves[figure].margin[s], kind)}`;
      return middle[s] === null ? '–' : `${shown(middle[s], kind)}${margin}`;
    }),
  ]);
  return table(`${figure.replaceAll('_', ' ')} by speed`, head, rows, { 'data-numbers': figure });
}

// Boxes that switch the lines of headers on and off; also their legend.
export function headerChips() {
  const chips = make('div', { class: 'chips', role: 'group', 'aria-label': 'Headers shown' });
  const all = (on) => make('button', { type: 'button', onclick: () => choose({ shown: headers.map(() => on) }) }, on ? 'All' : 'None');
  const build = () => {
    const held = document.activeElement?.dataset?.header; // the focus stays where it was
    chips.replaceChildren(
      ...headers.map((header, i) =>
        make(
          'label',
          { class: choice.shown[i] ? 'chip' : 'chip off' },
          make('input', {
            type: 'checkbox',
            checked: choice.shown[i],
            'data-header': header.name,
            onchange: (event) =>
              choose({ shown: choice.shown.map((on, k) => (k === i ? event.target.checked : on)) }),
          }),
          swatch(i),
          foreign(header.name)
        )
      ),
      ...(headers.length > 3 ? [make('div', { class: 'buttons' }, all(true), all(false))] : [])
    );
    if (held !== undefined) [...chips.querySelectorAll('input')].find((box) => box.dataset.header === held)?.focus();
  };
  build();
  onChange(['theme', 'shown'], build);
  return chips;
}

// A chart of a row of curve_charts, and its numbers.
export function figureChart({ figure, heading, unit: kind, by_cylinder: byCylinder }, height) {
  const chart = new Chart({
    name: figure,
    title: () =>
      `${heading}${byCylinder && choice.figureOf !== 'mean' ? `, cylinder ${headers[0].cylinders[Number(choice.figureOf)]}` : ''}`,
    label: () => `${heading} over engine speed for ${headers.filter((_, i) => choice.shown[i]).map((c) => c.name).join(', ')}.`,
    height,
    sync: 'speed',
    columns: 2,
    describe: () => describe(figure, kind, byCylinder),
  });
  const own = numbersOnDemand(`${heading} in numbers`, () => numbers(figure, kind, byCylinder));
  onChange(['units', 'shown', 'band', 'figureOf', 'header'], () => chart.refresh());
  onChange(['units', 'figureOf'], own.refresh);
  return make('div', { class: 'cell' }, chart.element, own);
}

export function overSpeedSection() {
  const bandChoice = oneOf(
    'Band around each line',
    [['uncertainty', 'Uncertainty'], ['cylinders', 'Cylinders'], ['none', 'No band']],
    () => choice.band,
    (band) => choose({ band })
  );
  const cylinderChoice = select(
    'Values for',
    () => [['mean', 'mean of all cylinders'], ...headers[0].cylinders.map((number, i) => [String(i), `cylinder ${number}`])],
    () => choice.figureOf,
    (figureOf) => choose({ figureOf })
  );
  const selected = select(
    'Band for',
    () => headers.map((header, i) => [String(i), header.name]),
    () => choice.header,
    (header) => choose({ header: Number(header) })
  );
  const note = make('p', { class: 'quiet small', 'aria-live': 'polite' });
  const explain = () => {
    const of = `Band: ${headers[choice.header].name}, the thick line`;
    const texts = {
      uncertainty: `${of}, plus or minus what grid, cycles, build error, merge model and gas temperature leave open. Much of it is common to all headers, so differences are more certain than the lines.`,
      cylinders: `${of}, from the lowest to the highest cylinder. Torque and power are for the whole engine.`,
      none: 'Lines without bands.',
    };
    note.textContent = `${texts[choice.band]} Shaded background: the speeds over which the headers are compared.`;
  };
  explain();
  // Torque is in the summary.
  const cells = study.curve_charts.filter(({ figure }) => figure !== 'torque').map((row) => figureChart(row, 210));
  onChange(['band', 'header'], () => {
    bandChoice.refresh();
    selected.refresh();
    explain();
  });
  return make(
    'section',
    { id: 'over-speed', 'aria-labelledby': 'over-speed-title' },
    make('h2', { id: 'over-speed-title' }, 'Over speed'),
    make('div', { class: 'controls' }, bandChoice, selected, cylinderChoice),
    make('div', { class: 'grid' }, cells),
    note
  );
}
