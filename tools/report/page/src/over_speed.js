// Figures over speed: one small chart each, a line per header.
import { make, foreign, numbersOnDemand, oneOf, select, table } from './dom.js';
import { Chart, axisX, axisY } from './chart.js';
import { choice, choose, onChange } from './choice.js';
import { faded, ink, lineColour, lineDash } from './colours.js';
import { faultAt, headers, hasNumbers, pairOf, rpm, speeds, study } from './study.js';
import { shown, signed, unit } from './units.js';
import { swatch } from './swatch.js';

function cylinderValues(header, figure, s) {
  const point = header.points[s];
  return hasNumbers(point) ? point.cylinders[figure] : null;
}

// Value, lower and upper edge of the band of one header.
function lines(header, figure, byCylinder) {
  const { value, low, high } = header.curves[figure];
  const of = choice.figureOf;
  const single = byCylinder && of !== 'mean';
  const middle = single
    ? speeds.map((_, s) => cylinderValues(header, figure, s)?.[Number(of)] ?? null)
    : value;
  const edge = (sign) =>
    speeds.map((_, s) => {
      if (middle[s] === null) return null;
      if (choice.band === 'uncertainty' && !single) {
        const at = (sign < 0 ? low : high)[s] ?? middle[s];
        return figure === 'residual_fraction' ? Math.max(0, at) : at; // a fraction is not negative
      }
      const all = byCylinder ? cylinderValues(header, figure, s) : null;
      if (choice.band === 'cylinders' && all) return sign < 0 ? Math.min(...all) : Math.max(...all);
      return middle[s];
    });
  return { middle, low: edge(-1), high: edge(1) };
}

// The points of a line that do not count, with their neighbours: data and how it is drawn, in grey.
// faults: by speed, words or nothing. Null where all count.
export function greyLine(values, faults) {
  const marked = values.map((v, s) => (v !== null && faults[s] ? s : -1)).filter((s) => s >= 0);
  if (marked.length === 0) return null;
  const grey = ink('muted');
  return {
    data: values.map((v, s) => (faults[s - 1] || faults[s] || faults[s + 1] ? v : null)),
    series: { stroke: faded(grey, 0.7), width: 1.25, dash: [3, 3], points: { show: true, filter: () => marked, size: 8, stroke: grey, fill: ink('surface') } },
  };
}

// A line of each header over speed. of: [{ i, middle, low, high, faults, coarse }] in SI by speed, low
// and high null without a band; faults has words where a point does not count; coarse: computed on
// coarse cells at some of the speeds, a thin line. The selected header has a
// wider line, above the others. Where a point does not count, point and line are grey.
export function describeLines(of, kind, format) {
  const u = unit(kind);
  const scaled = (values) => values.map((v) => (v === null ? null : v * u.factor));
  const data = [speeds];
  const series = [{}];
  const bands = [];
  const grey = ink('muted');
  for (const { i, middle, low, high, faults, coarse } of [...of].sort((a, b) => Number(a.i === choice.header) - Number(b.i === choice.header))) {
    const colour = lineColour(i);
    const left = greyLine(middle, faults);
    const counted = (values) => scaled(values.map((v, s) => (faults[s] ? null : v)));
    if (left) {
      data.push(scaled(left.data));
      series.push(left.series);
    }
    data.push(counted(middle));
    const few = speeds.length < 3 || coarse || middle.some((v) => v === null);
    series.push({
      stroke: coarse ? faded(colour, 0.65) : colour,
      width: coarse ? 1.5 : i === choice.header ? 3 : 1.75,
      dash: lineDash(i),
      spanGaps: Boolean(coarse),
      points: { show: few, size: coarse ? 5 : 7, stroke: colour, fill: coarse ? ink('surface') : colour },
    });
    if (!low) continue;
    data.push(counted(high), counted(low));
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
      of
        .filter(({ middle, coarse }) => !coarse || middle[s] !== null)
        .map(({ i, middle, faults, coarse }) => ({
          colour: faults[s] ? grey : lineColour(i),
          text: `${headers[i].name} ${format(middle[s])} ${u.name}${coarse ? ', coarse cells' : ''}${faults[s] ? `, ${faults[s]}, does not count` : ''}`,
        })),
    ],
  };
}

function visible() {
  return headers.map((_, i) => i).filter((i) => choice.shown[i]);
}

function describe(figure, kind, byCylinder) {
  const of = visible().flatMap((i) => {
    const { middle, low, high } = lines(headers[i], figure, byCylinder);
    const banded = i === choice.header && choice.band !== 'none';
    const line = { i, middle, low: banded ? low : null, high: banded ? high : null, faults: speeds.map((_, s) => faultAt(i, s)) };
    const { coarse } = headers[i].curves[figure];
    return coarse ? [coarseLine(i, coarse), line] : [line];
  });
  return describeLines(of, kind, (v) => shown(v, kind, kind === 'percent' ? 2 : undefined));
}

function coarseLine(i, values) {
  return { i, middle: values, low: null, high: null, faults: speeds.map(() => null), coarse: true };
}

// Torque of each header less that of the reference.
function describeDifference() {
  const of = visible()
    .filter((i) => i !== choice.reference)
    .flatMap((i) => {
      const at = differences(i);
      const banded = i === choice.header && choice.band !== 'none';
      const edge = (key) => at.map((d) => (d.known ? d.known[key] : null));
      const line = { i, middle: at.map((d) => d.value), low: banded ? edge('low') : null, high: banded ? edge('high') : null, faults: at.map((d) => d.fault) };
      const [own, other] = [i, choice.reference].map((header) => headers[header].curves.torque.coarse);
      if (!own || !other) return [line];
      return [coarseLine(i, own.map((v, s) => (v === null || other[s] === null ? null : v - other[s]))), line];
    });
  const described = describeLines(of, 'torque', (v) => signed(v, 'torque'));
  described.hooks.drawClear.push(drawZero);
  return described;
}

// By speed: the torque of a header less that of the reference, with its interval where both count,
// and what is wrong with a point otherwise.
function differences(i) {
  const pair = pairOf(i, choice.reference);
  return speeds.map((speed, s) => {
    const one = pair?.speeds.find(({ speed_rpm: rpmOf }) => Math.abs(rpmOf - speed) < 0.01);
    const [own, other] = [i, choice.reference].map((header) => headers[header].curves.torque.value[s]);
    const plainly = own === null || other === null ? null : own - other;
    const wrong = faultAt(i, s) ?? (faultAt(choice.reference, s) ? `${headers[choice.reference].name} ${faultAt(choice.reference, s)}` : null);
    return { known: one?.torque ?? null, value: one?.torque.value ?? plainly, fault: one ? null : wrong };
  });
}

export function drawZero(plot) {
  const at = plot.valToPos(0, 'y', true);
  const { left, top, width, height } = plot.bbox;
  if (!(at >= top && at <= top + height)) return;
  const context = plot.ctx;
  context.save();
  context.strokeStyle = ink('muted');
  context.lineWidth = devicePixelRatio;
  context.beginPath();
  context.moveTo(left, at);
  context.lineTo(left + width, at);
  context.stroke();
  context.restore();
}

export function speedRange() {
  const first = speeds[0];
  const last = speeds[speeds.length - 1];
  return first === last ? [first - 250, last + 250] : [first, last];
}

// Shades the speed band over which the headers are compared.
export function drawBand(plot) {
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
      if (middle[s] === null) return '–';
      const own = byCylinder && choice.figureOf !== 'mean';
      const { low, high } = header.curves[figure];
      const fault = faultAt(headers.indexOf(header), s);
      const interval = own || low[s] === null ? '' : ` (${shown(low[s], kind)} to ${shown(high[s], kind)})`;
      return `${shown(middle[s], kind)}${fault ? ` ${fault}` : interval}`;
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
  onChange(['theme', 'shown', 'headers'], build);
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
  onChange(['units', 'shown', 'band', 'figureOf', 'header', 'points', 'headers'], () => chart.refresh());
  onChange(['units', 'figureOf', 'points', 'headers'], own.refresh);
  return make('div', { class: 'cell' }, chart.element, own);
}

// The difference from the chosen reference, and its numbers.
export function differenceChart(height) {
  const reference = select(
    'from',
    () => headers.map((header, i) => [String(i), header.name]),
    () => choice.reference,
    (value) => choose({ reference: Number(value) })
  );
  const chart = new Chart({
    name: 'difference',
    title: () => `Difference in torque from ${headers[choice.reference].name}`,
    label: () => `Torque less that of ${headers[choice.reference].name} over engine speed for ${visible().filter((i) => i !== choice.reference).map((i) => headers[i].name).join(', ')}.`,
    height,
    sync: 'speed',
    columns: 2,
    describe: describeDifference,
  });
  const own = numbersOnDemand('Differences in numbers', () => {
    const others = headers.map((_, i) => i).filter((i) => i !== choice.reference);
    const columns = others.map(differences);
    return table(
      `Torque less that of ${headers[choice.reference].name} by speed`,
      ['rpm', ...others.map((i) => foreign(headers[i].name))],
      speeds.map((speed, s) => [
        String(Math.round(speed)),
        ...columns.map((of) => {
          const { known, value, fault } = of[s];
          if (known && known.low !== null) return `${signed(value, 'torque')} (${signed(known.low, 'torque')} to ${signed(known.high, 'torque')})`;
          return `${signed(value, 'torque')}${fault ? ` ${fault}` : ''}`;
        }),
      ]),
      { 'data-numbers': 'difference' }
    );
  });
  onChange(['units', 'shown', 'band', 'header', 'reference', 'points', 'headers'], () => chart.refresh());
  onChange(['units', 'reference', 'points', 'headers'], () => {
    reference.refresh();
    own.refresh();
  });
  return make('div', { class: 'cell' }, chart.element, reference, own);
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
      uncertainty: `${of}, as far as grid, cycles, build error, merge model and gas temperature leave it open. Much of it is common to all headers, so differences are more certain than the lines.`,
      cylinders: `${of}, from the lowest to the highest cylinder. Torque and power are for the whole engine.`,
      none: 'Lines without bands.',
    };
    note.textContent = `${texts[choice.band]} Grey: points that do not count. Shaded background: the speeds over which the headers are compared.`;
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
