// The dyno sheet: what was measured over what was predicted, on one printed page.
import { make, foreign, numbersOnDemand, table } from './dom.js';
import { Chart, axisX, axisY } from './chart.js';
import { choice, onChange } from './choice.js';
import { faded, ink, lineColour } from './colours.js';
import { drawBand, drawZero, greyLine, speedRange } from './over_speed.js';
import { headers, rpm, speeds, study } from './study.js';
import { plain, shown, signed, unit } from './units.js';

const { dyno } = study;

// CSS px of a chart on paper, so that all rows of the sheet fit on its page.
const rows = dyno ? dyno.curves.length + Math.ceil(dyno.differences.length / 2) : 1;
const paperHeight = Math.round(Math.min(190, Math.max(90, 640 / rows - 45)));

function colourOf(name) {
  return lineColour(Math.max(0, headers.findIndex((header) => header.name === name)));
}

// Values by the speeds of the study; null where there is none.
function bySpeed(points, value) {
  return speeds.map((speed) => {
    const point = points.find(({ speed_rpm: at }) => Math.abs(at - speed) < 0.01);
    return point ? value(point) : null;
  });
}

function scaled(values, factor) {
  return values.map((v) => (v === null ? null : v * factor));
}

// Bars of plus or minus about the values of a series, in its unit.
function drawBars(series, half, colour) {
  return (plot) => {
    const context = plot.ctx;
    const cap = 3 * devicePixelRatio;
    context.save();
    context.strokeStyle = colour();
    context.lineWidth = 1.25 * devicePixelRatio;
    context.beginPath();
    plot.data[series].forEach((value, s) => {
      if (value === null || half[s] === null) return;
      const x = plot.valToPos(plot.data[0][s], 'x', true);
      const [low, high] = [value - half[s], value + half[s]].map((y) => plot.valToPos(y, 'y', true));
      context.moveTo(x, low);
      context.lineTo(x, high);
      for (const y of [low, high]) {
        context.moveTo(x - cap, y);
        context.lineTo(x + cap, y);
      }
    });
    context.stroke();
    context.restore();
  };
}

// Room for the bars and the band round all values.
function spanOf(lists) {
  const known = lists.flat().filter((v) => v !== null && Number.isFinite(v));
  if (known.length === 0) return [0, 1];
  const [low, high] = [Math.min(...known), Math.max(...known)];
  const margin = Math.max(0.06 * (high - low), 1e-6 * Math.abs(high), 1e-9);
  return [low - margin, high + margin];
}

// Measured values with their bars over a predicted line with its interval. Where a prediction does
// not count, point and line are grey.
function describe(points, kind, colour, format, zero) {
  const u = unit(kind);
  const get = (key) => scaled(bySpeed(points, (p) => p[key]), u.factor);
  const [measured, half, predicted, low, high] = ['measured', 'plus_or_minus', 'predicted', 'low', 'high'].map(get);
  const faults = bySpeed(points, (p) => p.fault ?? null);
  const counted = (values) => values.map((v, s) => (faults[s] ? null : v));
  const left = greyLine(predicted, faults);
  const edge = { stroke: 'transparent', width: 0, points: { show: false } };
  const black = () => ink('ink');
  const ends = measured.map((v, s) => (v === null || half[s] === null ? [v] : [v - half[s], v + half[s]])).flat();
  return {
    data: [speeds, counted(predicted), counted(high), counted(low), measured, ...(left ? [left.data] : [])],
    series: [
      {},
      { stroke: colour, width: 2.25, points: { show: false } },
      edge,
      edge,
      { stroke: 'transparent', width: 0, points: { show: true, size: 7, stroke: black(), fill: ink('surface') } },
      ...(left ? [left.series] : []),
    ],
    bands: [{ series: [2, 3], fill: faded(colour, 0.16) }],
    scales: { x: { time: false, range: speedRange() }, y: { range: spanOf([ends, predicted, low, high, zero ? [0] : []]) } },
    axes: [axisX('rpm'), axisY(u.name)],
    hooks: { drawClear: zero ? [drawBand, drawZero] : [drawBand], draw: [drawBars(4, half, black)] },
    reading: (s) => [
      rpm(s),
      [
        { colour: black(), text: `measured ${format(measured[s])} ± ${plain(half[s] ?? NaN, u.digits)} ${u.name}` },
        { colour: faults[s] ? ink('muted') : colour, text: `predicted ${format(predicted[s])} ${u.name}${faults[s] ? `, ${faults[s]}, does not count` : ''}` },
      ],
    ],
  };
}

function format(digits, sign) {
  return (v) => (v === null ? '–' : `${sign && v > 0 ? '+' : ''}${plain(v, digits)}`);
}

function torqueChart(curve) {
  const chart = new Chart({
    name: `dyno ${curve.header}`,
    title: () => `${curve.header}: measured over predicted torque`,
    label: () => `Measured and predicted torque of ${curve.header} over engine speed.`,
    height: 260,
    paperHeight,
    sync: 'speed',
    columns: 2,
    describe: () => describe(curve.torque, 'torque', colourOf(curve.header), format(unit('torque').digits)),
  });
  onChange(['units'], () => chart.refresh());
  return chart.element;
}

// Predicted less measured over measured, as a point of its own kind.
function relativePoints(curve) {
  return curve.torque.map((p) => {
    const known = p.measured !== null && p.predicted !== null;
    const over = (v) => (known && v !== null ? v / p.measured - 1 : null);
    return {
      speed_rpm: p.speed_rpm,
      measured: known ? 0 : null,
      plus_or_minus: known && p.plus_or_minus !== null ? p.plus_or_minus / p.measured : null,
      predicted: over(p.predicted),
      low: over(p.low),
      high: over(p.high),
      fault: p.fault,
    };
  });
}

function relativeChart(curve) {
  const chart = new Chart({
    name: `dyno difference ${curve.header}`,
    title: () => `${curve.header}: predicted less measured`,
    label: () => `Predicted less measured torque of ${curve.header} in per cent over engine speed.`,
    height: 260,
    paperHeight,
    sync: 'speed',
    columns: 2,
    describe: () => describe(relativePoints(curve), 'percent', colourOf(curve.header), format(1, true), true),
  });
  return chart.element;
}

function differenceChart(difference) {
  const name = `${difference.header} less ${difference.other}`;
  const chart = new Chart({
    name: `dyno ${name}`,
    title: () => `${name}: difference, measured over predicted`,
    label: () => `Measured and predicted difference of torque, ${name}, over engine speed.`,
    height: 260,
    paperHeight,
    sync: 'speed',
    columns: 2,
    describe: () => describe(difference.torque, 'torque', colourOf(difference.header), format(unit('torque').digits, true), true),
  });
  onChange(['units'], () => chart.refresh());
  return chart.element;
}

function numbers(curve) {
  const rows = curve.torque.map((p) => [
    String(Math.round(p.speed_rpm)),
    shown(p.measured, 'torque'),
    shown(p.plus_or_minus, 'torque'),
    String(p.pulls),
    `${shown(p.predicted, 'torque')}${p.low === null ? '' : ` (${shown(p.low, 'torque')} to ${shown(p.high, 'torque')})`}${p.fault ? ` ${p.fault}` : ''}`,
    p.measured === null || p.predicted === null ? '–' : signed(p.predicted - p.measured, 'torque'),
  ]);
  return table(`${curve.header}: measured and predicted torque by speed`, ['rpm', `Measured, ${unit('torque').name}`, '±', 'Pulls', 'Predicted', 'Difference'], rows, {
    'data-numbers': `dyno ${curve.header}`,
  });
}

function levels() {
  return dyno.curves.map((curve) => {
    const percent = (v, sign) => (v === null ? '–' : `${sign && v > 0 ? '+' : ''}${plain(100 * v, 1)} %`);
    const scatter = curve.pulls > 1 ? `, which scatter by ${plain(100 * curve.scatter, 2)} %` : '';
    return make(
      'li',
      {},
      foreign(curve.header),
      `: mean of ${curve.pulls === 1 ? 'one pull' : `${curve.pulls} pulls`}${scatter}; predicted ${percent(curve.level, true)} from the measured in the mean, ${percent(curve.shape)} about that over speed.`
    );
  });
}

// Null where nothing was measured.
export function dynoSection() {
  if (!dyno) return null;
  const list = make('ul', { class: 'single' });
  const fill = () => list.replaceChildren(...levels(), ...dyno.sentences[choice.units].map((text) => make('li', {}, text)));
  fill();
  onChange(['units'], fill);
  const own = dyno.curves.map((curve) => {
    const box = numbersOnDemand(`${curve.header} in numbers`, () => numbers(curve));
    onChange(['units'], box.refresh);
    return box;
  });
  const remarks = dyno.curves.flatMap((curve) => curve.remarks);
  const grey = dyno.curves.some((curve) => curve.torque.some((p) => p.fault)) ? ' Grey: predictions that do not count.' : '';
  return make(
    'section',
    { id: 'dyno', class: 'dyno-sheet', 'aria-labelledby': 'dyno-title' },
    make('h2', { id: 'dyno-title' }, 'Measured over predicted'),
    make('p', { class: 'paper-only' }, foreign(study.title)),
    make(
      'p',
      { class: 'quiet small' },
      `Circles with bars: mean of the pulls, within the bars with 95 %. Line and band: prediction and its interval.${grey} ${dyno.correction === 'as observed' ? 'Torque in the air of the case.' : `Torque corrected to ${dyno.correction}.`}${dyno.calibrated ? ` The engine is calibrated ${dyno.calibrated}: differences between headers are the claim, not the level.` : ''}`
    ),
    list,
    make('div', { class: 'grid' }, ...dyno.curves.flatMap((curve) => [torqueChart(curve), relativeChart(curve)]), ...dyno.differences.filter(({ torque }) => torque.length > 0).map(differenceChart)),
    ...own,
    remarks.length > 0 ? make('ul', { class: 'warning' }, remarks.map((text) => make('li', {}, foreign(text)))) : null
  );
}
