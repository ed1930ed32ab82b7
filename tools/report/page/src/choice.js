// The reader's choices, and the listeners that are called when one changes.
import { remember, remembered } from './memory.js';
import { best, faultAt, headers, ranking, speeds, study } from './study.js';

const middle = 0.5 * (study.band_rpm[0] + study.band_rpm[1]);
// The speed nearest to the middle of the band at which the best header's point counts, of two the
// higher.
const far = (s) => Math.abs(speeds[s] - middle) + (faultAt(best, s) ? 1e6 : 0);
const middleSpeed = speeds.reduce((near, _, s) => (far(s) <= far(near) ? s : near), 0);

// Choices that last over a reload, and their values.
const lasting = { units: ['metric', 'inch'], theme: ['auto', 'light', 'dark'] };

function lastChoice(name, otherwise) {
  const value = remembered(name);
  return lasting[name].includes(value) ? value : otherwise;
}

// More lines than this are hard to tell apart: then the best ones are shown at first.
const mostLines = 8;
const shownAtFirst = headers.length > mostLines ? ranking.slice(0, 6) : headers.map((_, i) => i);

export const choice = {
  units: lastChoice('units', study.first_units),
  theme: lastChoice('theme', 'auto'),
  shown: headers.map((_, i) => shownAtFirst.includes(i)), // headers over speed
  band: 'uncertainty', // or 'cylinders', 'none'
  figureOf: 'mean', // or the index of a cylinder
  header: best, // that is selected: of the charts at one speed, and the one with a band over speed
  reference: best === 0 ? (ranking[1] ?? 0) : 0, // of the differences over speed
  compared: 'none', // or the index of a second header
  speed: middleSpeed,
  cylinder: 0,
  view: 'one', // cylinder, or 'all'
};

const listeners = [];

// What a page that computes announces besides: 'points', numbers of points are new; 'headers', what
// the case says of its headers is.
export function announce(names) {
  while (choice.shown.length < headers.length) choice.shown.push(false);
  choice.shown.length = headers.length;
  for (const name of ['header', 'reference']) choice[name] = Math.min(choice[name], headers.length - 1);
  if (choice.compared !== 'none' && Number(choice.compared) >= headers.length) choice.compared = 'none';
  choice.speed = Math.min(choice.speed, speeds.length - 1);
  if (choice.cylinder >= headers[choice.header].cylinders.length) choice.cylinder = 0;
  for (const { names: of, listener } of listeners) {
    if (of.some((name) => names.includes(name))) listener();
  }
}

export function onChange(names, listener) {
  listeners.push({ names, listener });
}

export function choose(changes) {
  const changed = Object.keys(changes).filter((name) => choice[name] !== changes[name]);
  Object.assign(choice, changes);
  for (const name of changed) if (lasting[name]?.includes(choice[name])) remember(name, choice[name]);
  if (changed.includes('header') && !choice.shown[choice.header]) {
    choice.shown = choice.shown.map((on, i) => on || i === choice.header);
    changed.push('shown');
  }
  if (choice.cylinder >= headers[choice.header].cylinders.length) choice.cylinder = 0;
  for (const { names, listener } of listeners) {
    if (names.some((name) => changed.includes(name))) listener();
  }
}
