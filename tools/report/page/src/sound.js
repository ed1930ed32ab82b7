// What the headers sound like at the microphone: level over speed, a player for each header, and a map
// of the orders of the selected one.
import { make, foreign, numbersOnDemand, select, table } from './dom.js';
import { Chart, axisX, axisY } from './chart.js';
import { choice, choose, onChange } from './choice.js';
import { ink, sequential, sequentialCss } from './colours.js';
import { describeLines, speedRange } from './over_speed.js';
import { faultAt, headers, rpm, speeds, study } from './study.js';
import { plain } from './units.js';
import { swatch } from './swatch.js';

const { sound } = study;
const shownOrders = 16; // of the map
const span = 40; // dB from the strongest colour to none

function heard(i) {
  return sound.headers.find(({ name }) => name === headers[i].name) ?? null;
}

function pointAt(i, s) {
  return heard(i)?.points.find(({ speed_rpm: at }) => Math.abs(at - speeds[s]) < 0.01) ?? null;
}

function levels(i) {
  return speeds.map((_, s) => pointAt(i, s)?.level_dba ?? null);
}

function orderName(k) {
  return String(0.5 * (k + 1));
}

function levelChart() {
  const chart = new Chart({
    name: 'sound-level',
    title: () => 'Sound level at the microphone',
    label: () => 'Sound level at the microphone over engine speed.',
    height: 260,
    sync: 'speed',
    describe: () =>
      describeLines(
        headers
          .map((_, i) => i)
          .filter((i) => choice.shown[i] && heard(i))
          .map((i) => ({ i, middle: levels(i), low: null, high: null, faults: speeds.map((_, s) => faultAt(i, s)) })),
        'sound_level',
        (v) => plain(v ?? NaN, 1)
      ),
  });
  onChange(['shown', 'header', 'theme'], () => chart.refresh());
  return make(
    'div',
    {},
    chart.element,
    numbersOnDemand('Sound level in numbers', () =>
      table(
        'Sound level at the microphone in dB(A) by speed',
        ['rpm', ...headers.map(({ name }) => foreign(name))],
        speeds.map((_, s) => [
          String(Math.round(speeds[s])),
          ...headers.map((_, i) => {
            const fault = faultAt(i, s);
            return `${plain(pointAt(i, s)?.level_dba ?? NaN, 1)}${fault ? ` ${fault}` : ''}`;
          }),
        ]),
        { 'data-numbers': 'sound-level' }
      )
    )
  );
}

function player(i) {
  const piece = sound.headers.findIndex(({ name }) => name === headers[i].name);
  if (!sound.audio || piece < 0) return '–';
  return make('audio', {
    controls: true,
    preload: 'metadata',
    'aria-label': `Pull of ${headers[i].name}`,
    src: `data:audio/flac;base64,${sound.audio.pieces[piece]}`,
    onplay: (event) => {
      for (const other of document.querySelectorAll('.players audio')) if (other !== event.target) other.pause();
    },
  });
}

function players() {
  const rows = headers.map((header, i) => {
    const band = heard(i)?.band ?? null;
    const name = make('span', {}, swatch(i), foreign(header.name));
    return [
      name,
      player(i),
      plain(band?.level_dba ?? NaN, 1),
      plain(band?.half_orders_db ?? NaN, 1),
      band?.strongest_orders.join(', ') || '–',
    ];
  });
  const [from, to] = study.band_rpm.map(Math.round);
  const head = ['Header', sound.audio ? `Pull, ${sound.audio.from_rpm} to ${sound.audio.to_rpm} rpm` : 'Pull', 'dB(A)', 'Half orders, dB', 'Strongest orders'];
  return [
    table(`Means from ${from} to ${to} rpm, of the points that count`, head, rows, { class: 'players' }),
    make(
      'p',
      { class: 'quiet small' },
      'Half orders: all of them together against the whole sound; an engine whose pulses reach one outlet at even gaps has none. ',
      sound.audio ? `All players have one gain: full scale is a peak of ${sound.audio.full_scale_db} dB. Small loudspeakers do not give the low orders back.` : ''
    ),
  ];
}

// Left edge and right edge of the cell of each point along the speed axis, rpm.
function cells(points) {
  const at = points.map(({ speed_rpm: speed }) => speed);
  const [first, last] = speedRange();
  return at.map((speed, k) => [k === 0 ? first : 0.5 * (at[k - 1] + speed), k === at.length - 1 ? last : 0.5 * (at[k + 1] + speed)]);
}

// The level of the strongest colour: of all headers, so that their maps compare.
function topLevel() {
  return Math.max(...sound.headers.flatMap(({ points }) => points.flatMap(({ orders_db: of }) => of.filter((v) => v !== null))));
}

function drawMap(plot, points, top) {
  const { ctx: context, bbox } = plot;
  const x = (value) => plot.valToPos(value, 'x', true);
  const y = (value) => plot.valToPos(value, 'y', true);
  context.save();
  context.beginPath();
  context.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  context.clip();
  cells(points).forEach(([left, right], k) => {
    for (let o = 0; o < 2 * shownOrders; o += 1) {
      const level = points[k].orders_db[o];
      const order = 0.5 * (o + 1);
      const [r, g, b] = sequential(level === null ? 0 : 1 + (level - top) / span);
      context.fillStyle = `rgb(${r} ${g} ${b})`;
      const upper = y(order + 0.25);
      context.fillRect(x(left), upper, x(right) - x(left) + 1, y(order - 0.25) - upper + 1);
    }
  });
  context.restore();
}

function orderMap() {
  const scale = make('div', { class: 'colour-scale' });
  const top = Math.ceil(topLevel());
  const points = () => heard(choice.header)?.points ?? [];
  const chosen = select(
    'Map of',
    () => headers.map((header, i) => [String(i), header.name]),
    () => choice.header,
    (header) => choose({ header: Number(header) })
  );
  const chart = new Chart({
    name: 'orders',
    title: () => `Orders over speed, ${headers[choice.header].name}`,
    label: () => `Sound pressure of each order over engine speed, ${headers[choice.header].name}.`,
    height: 380,
    paperHeight: 300,
    sync: 'speed',
    describe: () => ({
      data: [speeds, speeds.map(() => null)],
      series: [{}, {}],
      scales: { x: { time: false, range: speedRange() }, y: { range: () => [0.25, shownOrders + 0.25] } },
      axes: [axisX('rpm', { grid: { show: false } }), axisY('order', { grid: { show: false }, splits: () => Array.from({ length: shownOrders / 2 }, (_, k) => 2 * (k + 1)) })],
      hooks: { drawClear: [(plot) => drawMap(plot, points(), top)] },
      reading: (s) => {
        const point = pointAt(choice.header, s);
        if (!point) return [rpm(s), [{ colour: ink('muted'), text: 'no sound' }]];
        const strongest = point.orders_db.map((level, k) => [k, level ?? -Infinity]).sort(([, a], [, b]) => b - a).slice(0, 5);
        return [rpm(s), strongest.map(([k, level]) => ({ colour: sequentialCss(1 + (level - top) / span), text: `order ${orderName(k)}: ${plain(level, 1)} dB` }))];
      },
    }),
  });
  const gradient = Array.from({ length: 9 }, (_, i) => sequentialCss(i / 8)).join(', ');
  scale.replaceChildren(
    make('span', {}, `${top - span} dB`),
    make('span', { class: 'bar', style: `background:linear-gradient(to right, ${gradient})`, 'aria-hidden': 'true' }),
    make('span', {}, `${top} dB`)
  );
  onChange(['header', 'theme'], () => {
    chosen.refresh();
    chart.refresh();
  });
  return make('div', {}, make('div', { class: 'controls' }, chosen, scale), chart.element);
}

export function soundSection() {
  const section = make('section', { id: 'sound', 'aria-labelledby': 'sound-title' }, make('h2', { id: 'sound-title' }, 'Sound'));
  if (sound.reason) {
    section.append(make('p', {}, 'No sound: ', foreign(sound.reason)));
    return section;
  }
  const where = make('p', { class: 'quiet' }, sound.where[choice.units]);
  onChange(['units'], () => { where.textContent = sound.where[choice.units]; });
  const playerBox = make('div', {}, players());
  onChange(['theme'], () => {
    for (const [i, mark] of [...playerBox.querySelectorAll('.swatch')].entries()) mark.replaceWith(swatch(i));
  });
  section.append(
    where,
    playerBox,
    levelChart(),
    orderMap(),
    make('p', { class: 'quiet small' }, sound.cautions)
  );
  return section;
}
