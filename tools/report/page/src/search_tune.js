// The page of a tune: what was found, its torque, the designs to choose from, and how the search
// went.
import { foreign, make, table } from './dom.js';
import { choice } from './choice.js';
import { lineChart, redrawn, section } from './search_map.js';
import { speeds, study } from './study.js';
import { shown, signed, unit } from './units.js';

const order = ['start', 'best', 'easier'].filter((name) => study.designs?.[name]);
const aimNames = { mean: 'mean over the band', dip: 'deepest dip', top: 'top of the band', shift: 'shift point' };

function designs() {
  return redrawn(() => {
    const rows = study.variables.map(({ name }, v) => [name, ...order.map((of) => foreign(study.designs[of][choice.units][v]))]);
    for (const [aim, words] of Object.entries(aimNames)) {
      const counted = study.weights[aim] > 0 || study.front_aims.includes(aim);
      if (counted) rows.push([`${words}, ${unit('torque').name}`, ...order.map((of) => shown(study.designs[of].aims[aim], 'torque'))]);
    }
    rows.push([`score, ${unit('torque').name}`, ...order.map((of) => shown(study.designs[of].score, 'torque'))]);
    rows.push(['different primary lengths', ...order.map((of) => String(study.designs[of].different_lengths ?? '–'))]);
    return table('The designs', ['', ...order], rows, { 'data-numbers': 'designs' });
  });
}

function limits() {
  if (study.limits.length === 0) return null;
  return section(
    'limits',
    'What the limits of the car cost',
    redrawn(() =>
      table(
        'Limits',
        ['limit', `half an inch more brings, ${unit('torque').name}`],
        study.limits.map(({ what, gain }) => [what, signed(gain, 'torque')]),
        { 'data-numbers': 'limits' }
      )
    )
  );
}

function front() {
  if (study.front.length === 0) return null;
  return section(
    'front',
    'To choose from',
    make('p', { class: 'quiet' }, 'None of these is beaten in every aim.'),
    redrawn(() =>
      table(
        'Designs to choose from',
        [...study.front_aims.map((aim) => `${aimNames[aim]}, ${unit('torque').name}`), ...study.variables.map(({ name }) => name)],
        study.front.map((one) => [...study.front_aims.map((aim) => shown(one.aims[aim], 'torque')), ...one[choice.units].map((text) => foreign(text))]),
        { 'data-numbers': 'front' }
      )
    )
  );
}

// The best score so far, of the designs that may be the best, and the score of each design.
function progress() {
  let best = null;
  const bestSoFar = study.history.map(({ score, counts, within_limits: within }) => {
    if (score !== null && counts && within && (best === null || score > best)) best = score;
    return best;
  });
  return section(
    'history',
    'How the search went',
    lineChart({
      name: 'history',
      title: 'Score of each design in the order in which they were computed, and the best so far',
      xName: () => 'design',
      xs: () => study.history.map((_, i) => i + 1),
      xText: (s) => `design ${s + 1}`,
      lines: [
        { name: 'best so far', values: bestSoFar },
        { name: 'score', values: study.history.map(({ score }) => score) },
      ],
      kind: 'torque',
    })
  );
}

export function tuneSections() {
  const torque = lineChart({
    name: 'torque',
    title: 'Torque as drawn',
    xName: () => 'rpm',
    xs: () => speeds,
    xText: (s) => `${Math.round(speeds[s])} rpm`,
    lines: order.map((name) => ({ name, values: study.designs[name].torque })),
    kind: 'torque',
  });
  return [section('designs', 'What was found', designs()), section('torque', 'Torque', torque), limits(), front(), progress()].filter(Boolean);
}
