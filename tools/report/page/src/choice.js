// The reader's choices, and the listeners that are called when one changes.
import { headers, speeds, study } from './study.js';

const middle = 0.5 * (study.band_rpm[0] + study.band_rpm[1]);
const middleSpeed = speeds.reduce(
  (best, rpm, s) => (Math.abs(rpm - middle) < Math.abs(speeds[best] - middle) ? s : best),
  0
);

export const choice = {
  units: study.first_units,
  theme: 'auto',
  shown: headers.map(() => true), // headers over speed
  band: 'uncertainty', // or 'cylinders', 'none'
  figureOf: 'mean', // or the index of a cylinder
  header: 0, // of the charts at one speed
  compared: 'none', // or the index of a second header
  speed: middleSpeed,
  cylinder: 0,
  view: 'one', // cylinder, or 'all'
};

const listeners = [];

export function onChange(names, listener) {
  listeners.push({ names, listener });
}

export function choose(changes) {
  const changed = Object.keys(changes).filter((name) => choice[name] !== changes[name]);
  Object.assign(choice, changes);
  if (choice.cylinder >= headers[choice.header].cylinders.length) choice.cylinder = 0;
  for (const { names, listener } of listeners) {
    if (names.some((name) => changed.includes(name))) listener();
  }
}
