// Pulse interference: the effect of each pulse on each cylinder, a matrix for the selected point.
import { make, foreign, scrollFrame } from './dom.js';
import { choice, onChange } from './choice.js';
import { diverging, inkOn } from './colours.js';
import { selectionText } from './selection.js';
import { headers } from './study.js';
import { plain, shown, signed, unit } from './units.js';

function seconds(value) {
  return value >= 100 ? `${plain(value / 60, 1)} min` : `${plain(value, 1)} s`;
}

function matrix(header, change) {
  const sizes = change.flat().filter((v) => v !== null).map(Math.abs);
  const largest = Math.max(1, ...sizes);
  const cell = (value, j, i) => {
    if (value === null) return make('td', {}, '–');
    const rgb = diverging(value / largest);
    const effect = value < 0 ? 'helps' : 'hurts';
    return make(
      'td',
      {
        class: i === j ? 'own' : null,
        style: `background:rgb(${rgb.join(' ')});color:${inkOn(rgb)}`,
        title: i === j
          ? `Cylinder ${header.cylinders[j]}: the effect of its own pulse through the header`
          : `The pulse of cylinder ${header.cylinders[i]} ${effect} cylinder ${header.cylinders[j]}`,
      },
      signed(value, 'pressure')
    );
  };
  return scrollFrame(
    'Effect of each pulse on each cylinder',
    make(
      'table',
      { class: 'matrix', id: 'interference-matrix' },
      make('caption', {}, `Change of the pressure during overlap, ${unit('pressure').name}; below zero helps, above zero hurts`),
      make(
        'thead',
        {},
        make('tr', {}, make('td', {}, 'at cylinder'), header.cylinders.map((n) => make('th', { scope: 'col' }, `pulse of ${n}`)))
      ),
      make(
        'tbody',
        {},
        change.map((row, j) =>
          make('tr', {}, make('th', { scope: 'row' }, String(header.cylinders[j])), row.map((value, i) => cell(value, j, i)))
        )
      )
    )
  );
}

// The strongest effect on another cylinder, either way.
function inWords(header, change) {
  let worst = null;
  let best = null;
  change.forEach((row, j) =>
    row.forEach((value, i) => {
      if (value === null || i === j) return;
      if (!worst || value > worst.value) worst = { value, i, j };
      if (!best || value < best.value) best = { value, i, j };
    })
  );
  if (!worst) return '';
  const effect = ({ value, i, j }) =>
    `cylinder ${header.cylinders[i]} on cylinder ${header.cylinders[j]} (${signed(value, 'pressure')} ${unit('pressure').name})`;
  return [
    worst.value > 0 ? `Hurts most: ${effect(worst)}.` : 'No pulse hurts another cylinder.',
    best.value < 0 ? `Helps most: ${effect(best)}.` : 'No pulse helps another cylinder.',
  ].join(' ');
}

export function interferenceSection() {
  const heading = make('h3', {});
  const body = make('div');
  const refresh = () => {
    heading.replaceChildren('Pulse interference, ', ...selectionText());
    const header = headers[choice.header];
    if (!header.interference) {
      const expected = headers.reduce((sum, one) => sum + one.coarse_seconds * one.cylinders.length, 0);
      body.replaceChildren(
        make(
          'p',
          {},
          'Not computed for this file: which pulse helps or hurts which cylinder needs every point once more for each cylinder, with the pulse of that cylinder absorbed at its merge. ' +
            `Judged by the runs of this file, that is at most about ${seconds(expected)} of computing.`
        )
      );
      return;
    }
    const { change, seconds: here } = header.interference[choice.speed];
    const all = headers
      .flatMap((one) => one.interference ?? [])
      .reduce((sum, point) => sum + (point.seconds ?? 0), 0);
    body.replaceChildren(
      make('p', { class: 'reading', 'aria-live': 'polite' }, inWords(header, change)),
      matrix(header, change),
      make(
        'p',
        { class: 'quiet small' },
        'Each column is a run in which that cylinder’s pulse leaves without reflection where its tube meets the merge, and the port of the merge there is closed; the value is the pressure with all pulses minus the pressure without that one. ' +
          'In that run its tube is also missing as a branch for the other waves, and so is its gas. On the diagonal: everything that the header reflects to the cylinder itself. All runs on the coarse grid. ' +
          `Time: ${seconds(here)} for this point, ${seconds(all)} for all headers and speeds.`
      )
    );
  };
  refresh();
  onChange(['header', 'speed', 'units', 'theme'], refresh);
  return make('section', { id: 'interference', 'aria-label': 'Pulse interference' }, heading, body);
}
