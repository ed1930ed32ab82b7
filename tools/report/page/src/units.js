// Formatting of numbers. Factors and names of the units are part of the data.
import { choice } from './choice.js';
import { study } from './study.js';

const digits = {
  metric: { torque: 1, power: 1, pressure: 1, high_pressure: 2, length: 0 },
  inch: { torque: 1, power: 1, pressure: 2, high_pressure: 1, length: 1 },
};

export function unit(kind) {
  if (kind === 'percent') return { factor: 100, name: '%', digits: 2 };
  if (kind === 'sound_level') return { factor: 1, name: 'dB(A)', digits: 1 };
  if (kind === 'degree') return { factor: 1, name: 'deg', digits: 0 };
  return { ...study.units[choice.units][kind], digits: digits[choice.units][kind] };
}

export function shown(value, kind, places) {
  if (value === null || value === undefined || !Number.isFinite(value)) return '–';
  const u = unit(kind);
  const text = (value * u.factor).toFixed(places ?? u.digits);
  return Number(text) === 0 ? text.replace('-', '') : text;
}

export function signed(value, kind, places) {
  const text = shown(value, kind, places);
  return text === '–' || text.startsWith('-') || Number(text) === 0 ? text : `+${text}`;
}

export function withUnit(value, kind, places) {
  return `${shown(value, kind, places)} ${unit(kind).name}`;
}

export function plain(value, places) {
  if (!Number.isFinite(value) || value === null) return '–';
  const text = value.toFixed(places);
  return Number(text) === 0 ? text.replace('-', '') : text;
}

// Unit step of tube length: 10 mm or 1 in.
export function lengthStep() {
  return study.units[choice.units].length_step;
}
