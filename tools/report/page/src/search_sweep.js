// The page of a sweep: the map of torque and power, the plateau, torque over speed.
import { make } from './dom.js';
import { choice } from './choice.js';
import { colouredTable, lineChart, redrawn, section } from './search_map.js';
import { speeds, study } from './study.js';
import { shown, unit, withUnit } from './units.js';

const [down, across] = study.axes ?? [];
const isBest = (c) => c === study.best || c === study.best_within;

// A value of an axis as its unit shows it.
const factor = (axis) => (axis.unit === 'm' ? unit('length').factor : 1);
const unitName = (axis) => (axis.unit === 'm' ? unit('length').name : axis.unit === 'rpm' ? 'rpm' : 'place in the list');

function cell(c, kind) {
  const { [kind]: value, counts } = study.cells[c];
  return { value, text: `${shown(value, kind)}${counts ? '' : '!'}${c === study.best ? ' *' : ''}`, strong: isBest(c) };
}

function mapOf(kind, heading) {
  return redrawn(() => {
    const columns = across ? across[choice.units] : [`mean over the band`];
    const n = columns.length;
    const rows = down[choice.units].map((name, i) => ({ heading: name, cells: columns.map((_, j) => cell(i * n + j, kind)) }));
    return colouredTable(heading, [`${down.name}${across ? ` \\ ${across.name}` : ''}`, ...columns], rows, { data: kind });
  });
}

function alongSpeeds() {
  return redrawn(() => {
    const rows = down[choice.units].map((name, i) => ({
      heading: name,
      cells: study.cells[i].torque_by_speed.map((value) => ({ value, text: shown(value, 'torque'), strong: isBest(i) })),
    }));
    return colouredTable('Torque by speed', [down.name, ...speeds.map((v) => String(Math.round(v)))], rows, { data: 'by-speed' });
  });
}

function curve() {
  return lineChart({
    name: 'sweep',
    title: () => `Torque over ${down.name}, mean over the band; shaded: within ${withUnit(study.plateau_margin, 'torque')} of the best`,
    xName: () => `${down.name}, ${unitName(down)}`,
    xs: () => down.values.map((v) => v * factor(down)),
    xText: (s) => down[choice.units][s],
    lines: [{ name: 'torque', values: study.cells.map(({ torque }) => torque) }],
    kind: 'torque',
    points: true,
    shade: () => (down.plateau ? { from: down.plateau.from * factor(down), to: down.plateau.to * factor(down) } : null),
  });
}

export function sweepSections() {
  const note = () => redrawn(() => make('p', { class: 'quiet' }, `In ${unit('torque').name} and ${unit('power').name}. * best; ! a point of it does not count; red is more, blue is less.`));
  const sections = [section('torque', 'Torque', across ? null : curve(), note(), mapOf('torque', 'Mean torque over the band'))];
  if (!across) sections.push(section('speed', 'Torque over speed', alongSpeeds()));
  sections.push(section('power', 'Power', mapOf('power', 'Mean power over the band')));
  return sections;
}
