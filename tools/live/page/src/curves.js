// Torque of the header in hand over speed, beside the one that it is held against, and below it the
// difference with what can be said of it so far. { main, rest }: the part that stands beside the
// sliders, and the one below.
import { make, foreign } from '../../../report/page/src/dom.js';
import { choice, onChange } from '../../../report/page/src/choice.js';
import { differenceChart, figureChart, headerChips } from '../../../report/page/src/over_speed.js';
import { headers, study } from '../../../report/page/src/study.js';
import { shown, signed, unit } from '../../../report/page/src/units.js';
import { provisional } from './live_study.js';
import { go, onProgress, progress, workerCount } from './runs.js';
import { state } from './case_state.js';

function progressWords() {
  const { running, left, stopped, trouble } = progress();
  if (trouble) return `This browser cannot compute any more: ${trouble}. Close other pages, and go on.`;
  if (!state.good?.case.engine) return 'A case of pipes only: the program computes it, this page does not.';
  if (state.read && !state.read.case) return 'Not computed: something in the form is to be put right first. The curves are those of the last case that was right.';
  if (state.due) return 'Changed: computed in a moment.';
  if (stopped) return left > 0 ? `Stopped, ${left} points are left.` : 'Stopped.';
  if (left === 0) return 'All points are computed.';
  const coarse = running.some(({ grid }) => grid === 'coarse');
  const at = [...new Set(running.map(({ speed }) => Math.round(speed)))].sort((a, b) => a - b);
  return `Computing ${coarse ? 'on coarse cells (30 mm) first' : 'on the cells of the case'}: ${left} points left${at.length > 0 ? `, now ${at.join(', ')} rpm` : ''}.`;
}

// The difference over the band in words.
function differenceWords() {
  if (headers.length < 2 || choice.header === choice.reference) return [];
  const found = provisional(choice.header, choice.reference);
  const against = [foreign(headers[choice.header].name), ' against ', foreign(headers[choice.reference].name)];
  if (!found) return [...against, ': not enough points in the band yet.'];
  const name = unit('torque').name;
  const margin = found.margin === null ? (found.grid === 'coarse' ? 'on coarse cells, margin not known yet' : 'margin not known') : `± ${shown(found.margin, 'torque')} ${name} from cells and speeds alone`;
  return [
    ...against,
    `, mean over ${Math.round(found.from_rpm)} to ${Math.round(found.to_rpm)} rpm: `,
    make('strong', {}, `${signed(found.mean, 'torque')} ${name}`),
    ` (provisional, ${margin}). `,
    make('span', { class: 'quiet' }, 'Merge model, gas temperature and build error come on top: the program computes them, see Save and export.'),
  ];
}

export function curvesSection() {
  const line = make('p', { class: 'quiet', id: 'progress' });
  const bar = make('progress', { max: 1, value: 0, 'aria-label': 'Points computed' });
  const stop = make('button', { type: 'button', id: 'stop' }, 'Stop');
  stop.addEventListener('click', () => {
    go(progress().stopped);
    refresh();
  });
  const words = make('p', { id: 'difference', 'aria-live': 'polite' });
  const torque = study.curve_charts.find(({ figure }) => figure === 'torque');
  const others = study.curve_charts.filter(({ figure }) => ['power', 'volumetric_efficiency', 'overlap_exhaust_pressure', 'residual_fraction'].includes(figure));
  const narrow = innerWidth <= 900; // there the curve stays in sight above the sliders
  let most = 1;
  let pending = false;
  const refresh = () => {
    pending = false;
    const { left, stopped } = progress();
    most = Math.max(most, left);
    if (left === 0) most = 1;
    bar.value = left === 0 ? 1 : 1 - left / most;
    bar.hidden = left === 0;
    line.textContent = progressWords();
    stop.textContent = stopped ? 'Go on' : 'Stop';
  };
  onProgress(() => {
    if (pending) return;
    pending = true;
    setTimeout(refresh, 100);
  });
  const refreshWords = () => {
    const now = make('p', {}, differenceWords());
    if (now.textContent !== words.textContent) words.replaceChildren(...now.childNodes); // else it is read out again
  };
  onChange(['points', 'headers', 'header', 'reference', 'units'], refreshWords);
  const more = make('details', { class: 'numbers', id: 'more-curves' }, make('summary', {}, 'Power, filling and pressure during overlap'), make('div', { class: 'grid' }, others.map((row) => figureChart(row, 190))));
  const section = {
    main: make('div', { class: 'curves' }, make('div', { class: 'progress-line' }, line, bar, make('div', { class: 'buttons' }, stop)), figureChart(torque, narrow ? 170 : 260)),
  };
  section.rest = make(
    'div',
    { class: 'curves-below' },
    differenceChart(150),
    words,
    headerChips(),
    more,
    make('p', { class: 'quiet small' }, `Thin lines: coarse cells, for a first look. Computed in this browser by up to ${workerCount()} workers; nothing is sent anywhere.`)
  );
  section.refresh = () => {
    most = 1;
    refresh();
    refreshWords();
  };
  return section;
}
