// The page of a tolerance: what each dimension is worth over speed, and the spread of the finished
// header.
import { make, table } from './dom.js';
import { choice } from './choice.js';
import { colouredTable, lineChart, redrawn, section } from './search_map.js';
import { speeds, study } from './study.js';
import { shown, signed, unit } from './units.js';

function dimensions() {
  return redrawn(() => {
    const rows = study.dimensions.flatMap(({ name, changes, exact, known }) =>
      changes.map((change) => ({
        heading: `${name}${exact ? ' #' : known ? '' : ' ?'}, ${change[choice.units]}`,
        cells: [change.band, ...change.torque].map((value) => ({ value, text: signed(value, 'torque') })),
      }))
    );
    return make(
      'div',
      {},
      make('p', { class: 'quiet' }, `Change of torque in ${unit('torque').name}, the largest first; # must be exact, ? not known. Red: more torque, blue: less.`),
      colouredTable('Change of torque by dimension and speed', ['', 'band', ...speeds.map((v) => String(Math.round(v)))], rows, { aboutZero: true, data: 'dimensions' })
    );
  });
}

function spread() {
  const { linear, sampled, samples, band_linear: bandLinear, band_sampled: bandSampled } = study.spread;
  const chart = lineChart({
    name: 'spread',
    title: 'Standard deviation of torque of the finished header',
    xName: () => 'rpm',
    xs: () => speeds,
    xText: (s) => `${Math.round(speeds[s])} rpm`,
    lines: [
      { name: 'by the slopes', values: linear },
      { name: `sampled, ${samples} headers`, values: sampled },
    ],
    kind: 'torque',
    points: speeds.length < 12,
  });
  const numbers = redrawn(() =>
    table(
      'Standard deviation by speed',
      ['rpm', 'by the slopes', 'sampled'],
      [['band', shown(bandLinear, 'torque', 2), shown(bandSampled, 'torque', 2)], ...speeds.map((v, s) => [String(Math.round(v)), shown(linear[s], 'torque', 2), shown(sampled[s], 'torque', 2)])],
      { 'data-numbers': 'spread' }
    )
  );
  return section('spread', 'The finished header', chart, numbers);
}

export function toleranceSections() {
  const sections = [section('dimensions', 'What each dimension is worth', dimensions())];
  if (study.spread) sections.push(spread());
  sections.push(section('torque', 'Torque as drawn', lineChart({
    name: 'torque',
    title: 'Torque as drawn',
    xName: () => 'rpm',
    xs: () => speeds,
    xText: (s) => `${Math.round(speeds[s])} rpm`,
    lines: [{ name: study.header, values: study.torque }],
    kind: 'torque',
  })));
  return sections;
}
