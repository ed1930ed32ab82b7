// Pressures against crank angle at one speed: the ports with their two waves, and the cylinder.
import { make, oneOf, select } from './dom.js';
import { Chart, axisX, axisY } from './chart.js';
import { choice, choose, onChange } from './choice.js';
import { ink, lineColour } from './colours.js';
import { selectionText, missingNote } from './selection.js';
import { drawValves, valveList } from './valve_events.js';
import { headers, study, trace } from './study.js';
import { plain, shown, unit } from './units.js';

const angles = () => Array.from({ length: study.trace_points }, (_, k) => (720 * k) / study.trace_points);
const tick = { incrs: [45, 90, 180] };

function angleAxis(label) {
  return axisX(label, { ...tick, space: 44 });
}

function gauge(values, factor) {
  return Array.from(values, (p) => (p - study.ambient_pressure) * factor);
}

// Lines of the port chart: name, colour, dash, width, values in the shown unit, gauge.
function portLines(cylinder) {
  const { header, speed } = choice;
  const exhaust = trace(header, speed, cylinder, 'exhaust_pressure');
  if (!exhaust) return [];
  const factor = unit('pressure').factor;
  const scaled = (kind) => Array.from(trace(header, speed, cylinder, kind), (p) => p * factor);
  const lines = [
    ['exhaust port', lineColour(1), [], 2.5, gauge(exhaust, factor)],
    ['intake port', lineColour(0), [6, 3], 1.5, gauge(trace(header, speed, cylinder, 'intake_pressure'), factor)],
    ['outgoing wave', lineColour(2), [10, 3, 2, 3], 1.5, scaled('exhaust_outgoing')],
    ['returning wave', lineColour(3), [2, 3], 2, scaled('exhaust_returning')],
  ];
  const compared = choice.compared === 'none' ? null : trace(Number(choice.compared), speed, cylinder, 'exhaust_pressure');
  if (compared) lines.push([`exhaust port, ${headers[Number(choice.compared)].name}`, ink('muted'), [], 1.5, gauge(compared, factor)]);
  return lines;
}

function describeLines(lines, yLabel, digits, more = {}) {
  const at = angles();
  return {
    data: [at, ...lines.map((line) => line[4])],
    series: [{}, ...lines.map(([, stroke, dash, width]) => ({ stroke, dash, width, points: { show: false } }))],
    scales: { x: { time: false, range: [0, 720] }, ...more.scales },
    axes: [angleAxis('deg of crank, 0 = firing TDC'), axisY(yLabel, more.axisY)],
    hooks: { drawClear: [(plot) => drawValves(plot, more.names !== false)] },
    reading: (k) => [
      `${plain(at[k], 0)} deg`,
      lines.map(([name, colour, , , values]) => ({ colour, text: `${name} ${plain(values[k], digits)} ${yLabel}` })),
    ],
  };
}

function describePort(cylinder, names = true) {
  const u = unit('pressure');
  return describeLines(portLines(cylinder), u.name, u.digits, { names });
}

// The small charts have a common range, so that cylinders can be compared.
function describeSmall(cylinder, range) {
  const u = unit('pressure');
  const lines = portLines(cylinder).filter(([name]) => name === 'exhaust port' || name === 'returning wave');
  const described = describeLines(lines, u.name, u.digits, { names: false, scales: { y: { range } } });
  described.axes[0].label = null;
  return described;
}

function describeCylinder(cylinder) {
  const u = unit('high_pressure');
  const values = trace(choice.header, choice.speed, cylinder, 'cylinder_pressure');
  const lines = values ? [['cylinder', lineColour(4), [], 2, Array.from(values, (p) => p * u.factor)]] : [];
  return describeLines(lines, u.name, u.digits, {
    names: false,
    scales: { y: { distr: 3, range: (plot, low, high) => (low > 0 ? [low / 1.1, high * 1.1] : [1, 10]) } }, // there may be no line
    axisY: { splits: (plot, axis, low, high) => logarithmicTicks(low, high), filter: (plot, ticks) => ticks },
  });
}

// 1, 2 and 5 times the powers of ten from low to high.
function logarithmicTicks(low, high) {
  const ticks = [];
  for (let power = Math.floor(Math.log10(low)); 10 ** power <= high; power += 1) {
    ticks.push(...[1, 2, 5].map((digit) => Number(`${digit}e${power}`)).filter((v) => v >= low && v <= high));
  }
  return ticks;
}

function commonRange(count) {
  let low = Infinity;
  let high = -Infinity;
  for (let cylinder = 0; cylinder < count; cylinder += 1) {
    for (const [name, , , , values] of portLines(cylinder)) {
      if (name !== 'exhaust port' && name !== 'returning wave') continue;
      low = Math.min(low, ...values);
      high = Math.max(high, ...values);
    }
  }
  const margin = 0.05 * (high - low);
  return [low - margin, high + margin];
}

function legend() {
  const box = make('div', { class: 'legend', 'aria-hidden': 'true' });
  box.refresh = () => {
    const lines = portLines(choice.cylinder);
    const drawn = choice.view === 'one' ? lines : lines.filter(([name]) => /^(exhaust port|returning wave)$/.test(name));
    box.replaceChildren(
      ...drawn.map(([name, colour, dash]) =>
        make(
          'span',
          {},
          make(
            'svg',
            { width: 30, height: 10, viewBox: '0 0 30 10', class: 'swatch' },
            make('line', { x1: 0, x2: 30, y1: 5, y2: 5, stroke: colour, 'stroke-width': 3, 'stroke-dasharray': dash.join(' ') || null })
          ),
          name
        )
      )
    );
  };
  return box;
}

function figuresOfPoint() {
  const header = headers[choice.header];
  const cylinders = header.points[choice.speed].cylinders;
  if (!cylinders) return '';
  const i = choice.cylinder;
  const u = unit('pressure').name;
  return (
    `Cylinder ${header.cylinders[i]}: pressure during overlap ${shown(cylinders.overlap_exhaust_pressure[i], 'pressure')} ${u} gauge, ` +
    `volumetric efficiency ${shown(cylinders.volumetric_efficiency[i], 'percent', 1)} %, ` +
    `residual gas ${shown(cylinders.residual_fraction[i], 'percent')} %, ` +
    `IMEP ${shown(cylinders.imep[i], 'high_pressure')} ${unit('high_pressure').name}.`
  );
}

function chartLabel(what) {
  return () => {
    const header = headers[choice.header];
    return `${what} against crank angle, ${header.name}, cylinder ${header.cylinders[choice.cylinder]}.`;
  };
}

export function atSpeedSection() {
  const heading = make('h3', {});
  const panel = make('div');
  const note = make('div');
  const figures = make('p', { class: 'reading', 'aria-live': 'polite' });
  const key = legend();
  const viewChoice = oneOf(
    'Cylinders shown',
    [['one', 'One cylinder'], ['all', 'All cylinders']],
    () => choice.view,
    (view) => choose({ view })
  );
  const comparedChoice = select(
    'Compare with',
    () => [['none', 'no other header'], ...headers.map((header, i) => [String(i), header.name])],
    () => choice.compared,
    (compared) => choose({ compared })
  );
  const tail = ' Shading: valve open; darker: overlap. The port pressure is the superposition of the outgoing and the returning wave.';
  const valves = make('p', { class: 'quiet small' }, `${valveList()}${tail}`);
  let charts = [];
  const build = () => {
    for (const chart of charts) chart.close();
    if (choice.view === 'one') {
      charts = [
        new Chart({
          name: 'port',
          title: () => `Pressure at the ports, ${unit('pressure').name} gauge`,
          label: chartLabel('Exhaust-port and intake-port pressure, outgoing and returning wave'),
          height: 330,
          sync: 'angle',
          describe: () => describePort(choice.cylinder),
        }),
        new Chart({
          name: 'cylinder',
          title: () => `Pressure in the cylinder, ${unit('high_pressure').name} absolute, logarithmic`,
          label: chartLabel('Cylinder pressure'),
          height: 200,
          sync: 'angle',
          describe: () => describeCylinder(choice.cylinder),
        }),
      ];
      panel.replaceChildren(...charts.map((chart) => chart.element));
      return;
    }
    const numbers = headers[choice.header].cylinders;
    charts = numbers.map(
      (number, i) =>
        new Chart({
          name: `port-${number}`,
          title: () => `Cylinder ${number}`,
          label: () => `Exhaust-port pressure and returning wave against crank angle, cylinder ${number}.`,
          height: 150,
          sync: 'angle',
          columns: 2,
          describe: () => describeSmall(i, commonRange(numbers.length)),
        })
    );
    panel.replaceChildren(make('div', { class: 'grid' }, charts.map((chart) => chart.element)));
  };
  const refresh = () => {
    heading.replaceChildren('Pressure against crank angle, ', ...selectionText());
    note.replaceChildren(...[missingNote()].filter(Boolean));
    figures.textContent = figuresOfPoint();
    key.refresh();
    for (const chart of charts) chart.refresh();
  };
  build();
  refresh();
  onChange(['view'], () => {
    viewChoice.refresh();
    build();
    refresh();
  });
  onChange(['header', 'speed', 'cylinder', 'units', 'theme', 'compared', 'points', 'headers'], refresh);
  onChange(['headers'], () => {
    comparedChoice.refresh();
    valves.textContent = `${valveList()}${tail}`;
    if (choice.view === 'all') build();
  });
  return make(
    'section',
    { id: 'at-speed', 'aria-label': 'Pressure against crank angle' },
    heading,
    note,
    make('div', { class: 'controls' }, viewChoice, comparedChoice),
    figures,
    key,
    panel,
    valves
  );
}
