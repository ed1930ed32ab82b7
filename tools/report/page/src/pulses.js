// Pulse spacing at the merges: a crank-angle circle per merge, arrivals over speed, and a map of the
// evenness of all headers.
import { make, foreign, numbersOnDemand, table } from './dom.js';
import { Chart, axisX, axisY } from './chart.js';
import { choice, choose, onChange } from './choice.js';
import { diverging, ink, inkOn, lineColour, lineDash } from './colours.js';
import { selectionText } from './selection.js';
import { headers, hasNumbers, rpm, speeds } from './study.js';
import { speedRange } from './over_speed.js';
import { lengthStep, plain, withUnit } from './units.js';

const centre = 110;
const radius = 76;

function onCircle(angle, r) {
  const radians = (angle / 720) * 2 * Math.PI - Math.PI / 2;
  return [centre + r * Math.cos(radians), centre + r * Math.sin(radians)];
}

function circle(name, merge) {
  const words = merge.cylinders.map((c, i) => `cylinder ${c} at ${plain(merge.arrival_deg[i], 0)} deg`).join(', ');
  const marks = [];
  for (const angle of [0, 180, 360, 540]) {
    const [x, y] = onCircle(angle, radius - 27);
    const [x1, y1] = onCircle(angle, radius - 6);
    const [x2, y2] = onCircle(angle, radius + 6);
    marks.push(make('line', { x1, y1, x2, y2, class: 'tick' }));
    marks.push(make('text', { x, y: y + 4, class: 'faint', 'text-anchor': 'middle' }, String(angle)));
  }
  const gaps = merge.arrival_deg.map((start, i) => {
    const [x, y] = onCircle(start + merge.gap_deg[i] / 2, radius + 17);
    return make('text', { x, y: y + 4, class: 'gap', 'text-anchor': 'middle' }, plain(merge.gap_deg[i], 0));
  });
  const pulses = merge.arrival_deg.map((angle, i) => {
    const [cx, cy] = onCircle(angle, radius);
    return make('g', {}, make('circle', { cx, cy, r: 12, class: 'pulse' }),
      make('text', { x: cx, y: cy + 4.5, class: 'pulse-name', 'text-anchor': 'middle' }, String(merge.cylinders[i])));
  });
  return make(
    'svg',
    { viewBox: '0 0 220 220', class: 'circle', role: 'img', 'aria-label': `Arrivals at ${name} round the cycle: ${words}.` },
    make('circle', { cx: centre, cy: centre, r: radius, class: 'ring' }),
    marks,
    gaps,
    pulses
  );
}

// The length that would make all gaps equal, in one sentence.
function evenInWords(merge) {
  const length = merge.length_to_even_m;
  if (!(length > 0.5 * lengthStep().metres)) return 'The gaps are equal.';
  return `Equal gaps at this speed would take tubes of which the longest is ${withUnit(length, 'length')} longer than the shortest.`;
}

function mergeCard(name, merge) {
  if (merge.cylinders.length < 2) {
    return make('div', { class: 'card' }, make('h4', {}, foreign(name)), make('p', { class: 'quiet' }, 'Fewer than two pulses were traced to this merge.'));
  }
  const step = lengthStep();
  const row = (term, value) => [make('dt', {}, term), make('dd', {}, value)];
  return make(
    'div',
    { class: 'card', 'data-merge': name },
    make('h4', {}, foreign(name)),
    circle(name, merge),
    make(
      'dl',
      {},
      row('Order', merge.cylinders.join(' – ')),
      row('Gaps', `${merge.gap_deg.map((gap) => plain(gap, 0)).join(' / ')} deg`),
      row('Evenness', plain(merge.evenness, 2)),
      row(`${step.name} of tube`, `${plain(merge.degrees_per_metre * step.metres, 2)} deg`)
    ),
    make('p', { class: 'quiet small' }, evenInWords(merge))
  );
}

// Arrivals at one merge over speed, a line per cylinder. A line that crosses 720 deg continues at 0:
// it is drawn again one cycle lower or higher, and both are clipped by the frame.
function describeArrivals(m) {
  const header = headers[choice.header];
  const at = (s) => (hasNumbers(header.points[s]) ? header.points[s].merges[m] : null);
  const members = [...new Set(speeds.flatMap((_, s) => at(s)?.cylinders ?? []))].sort((a, b) => a - b);
  const arrivals = members.map((c) => speeds.map((_, s) => at(s)?.arrival_deg[at(s).cylinders.indexOf(c)] ?? null));
  const lines = arrivals.flatMap((angles, i) => {
    const continuous = withoutJumps(angles);
    return [-720, 0, 720]
      .map((turn) => ({ i, values: continuous.map((angle) => (angle === null ? null : angle + turn)) }))
      .filter(({ values }) => values.some((angle) => angle !== null && angle >= 0 && angle <= 720));
  });
  const style = (i) => ({ stroke: lineColour(i), dash: lineDash(i), width: 2, points: { show: true, size: 5, fill: lineColour(i) } });
  return {
    data: [speeds, ...lines.map(({ values }) => values)],
    series: [{}, ...lines.map(({ i }) => style(i))],
    scales: { x: { time: false, range: speedRange() }, y: { range: [0, 720] } },
    axes: [axisX('rpm'), axisY('deg', { incrs: [90, 180] })],
    hooks: { draw: [(plot) => nameLines(plot, members, arrivals)] },
    reading: (s) => [
      rpm(s),
      members.map((c, i) => ({ colour: lineColour(i), text: `cylinder ${c} at ${plain(arrivals[i][s], 0)} deg` })),
    ],
  };
}

function withoutJumps(angles) {
  let last = null;
  return angles.map((angle) => {
    if (angle === null) return null;
    const turns = last === null ? 0 : Math.round((last - angle) / 720);
    last = angle + 720 * turns;
    return last;
  });
}

// The number of each cylinder at the end of its line.
function nameLines(plot, members, arrivals) {
  const { ctx: context, bbox } = plot;
  context.save();
  context.font = `${12 * devicePixelRatio}px system-ui, sans-serif`;
  context.fillStyle = ink('ink');
  context.textAlign = 'left';
  members.forEach((number, i) => {
    const last = arrivals[i][arrivals[i].length - 1];
    if (last === null || last === undefined) return;
    context.fillText(String(number), bbox.left + bbox.width + 6 * devicePixelRatio, plot.valToPos(last, 'y', true) + 4 * devicePixelRatio);
  });
  context.restore();
}

// The effect of stepped lengths; null for equal lengths.
function stepInWords(header, point) {
  const merge = point.merges?.find((one) => one.cylinders.length > 1);
  if (!merge || !(header.step_length > 1e-4)) return null;
  return (
    `The longest tube is ${withUnit(header.step_length, 'length')} longer than the shortest: that moves a pulse by ` +
    `${plain(header.step_length * merge.degrees_per_metre, 1)} deg at this speed.`
  );
}

// Evenness of every merge of every header by speed.
function mergeMap() {
  const rows = headers.flatMap((header, c) =>
    header.merges.map((name, m) => [
      make('span', {}, foreign(header.name), ' · ', foreign(name)),
      ...speeds.map((_, s) => {
        const merge = header.points[s].merges?.[m];
        if (!merge || merge.cylinders.length < 2) return '–';
        const text = plain(merge.evenness, 2);
        const rgb = diverging(1 - 2 * merge.evenness);
        return make(
          'button',
          {
            type: 'button',
            class: 'map-cell',
            style: `background:rgb(${rgb.join(' ')});color:${inkOn(rgb)}`,
            'aria-label': `${text}: evenness of ${header.name}, ${name}, ${rpm(s)}; select`,
            onclick: () => choose({ header: c, speed: s }),
          },
          text
        );
      }),
    ])
  );
  return table('Evenness of the pulses at each merge by speed', ['Merge', ...speeds.map((speed) => String(Math.round(speed)))], rows, {
    class: 'map',
    id: 'merge-map',
  });
}

export function pulsesSection() {
  const heading = make('h3', {});
  const cards = make('div', { class: 'cards', id: 'merge-cards' });
  const plots = make('div', { class: 'grid' });
  const map = numbersOnDemand('Evenness of all headers over speed', mergeMap);
  map.id = 'evenness-map';
  const step = make('p', {});
  let charts = [];
  const refresh = () => {
    heading.replaceChildren('Pulse spacing at the merge, ', ...selectionText());
    const header = headers[choice.header];
    const point = header.points[choice.speed];
    cards.replaceChildren(
      ...(hasNumbers(point) && header.merges.length > 0
        ? header.merges.map((name, m) => mergeCard(name, point.merges[m]))
        : [make('p', { class: 'quiet' }, 'No merge of two or more pulses.')])
    );
    step.textContent = stepInWords(header, point) ?? '';
  };
  const rebuild = () => {
    for (const chart of charts) chart.close();
    const header = headers[choice.header];
    charts = header.merges.map(
      (name, m) =>
        new Chart({
          name: `arrivals-${m}`,
          title: () => `Arrivals over speed, ${name}, deg of the engine's crank`,
          label: () => `Crank angle at which each pulse reaches ${name}, over engine speed.`,
          height: 230,
          sync: 'speed-arrivals',
          columns: 2,
          describe: () => describeArrivals(m),
        })
    );
    plots.replaceChildren(...charts.map((chart) => chart.element));
  };
  refresh();
  rebuild();
  onChange(['header', 'headers'], rebuild);
  onChange(['header', 'speed', 'units', 'points', 'headers'], refresh);
  onChange(['points'], () => {
    for (const chart of charts) chart.refresh();
    map.refresh();
  });
  onChange(['theme'], map.refresh);
  return make(
    'section',
    { id: 'pulses', 'aria-label': 'Pulse spacing at the merge' },
    heading,
    make('p', { class: 'quiet small' }, 'The circle is one cycle, 720 deg of the crank, clockwise, 0 = firing TDC of cylinder 1. Numbers in circles: cylinders whose pulse arrives; between them the gap in deg. Evenness: 1 = all gaps equal, 0 = all pulses at once.'),
    cards,
    step,
    plots,
    map
  );
}
