// The data of the page, written by tools/report/report_data.cpp, and functions to read them.
import { unpackSeries } from './series.js';

export const study = JSON.parse(document.getElementById('results').textContent);
export const headers = study.headers;
export const speeds = study.speeds;

// A crank angle within the cycle, 0 <= angle < 720.
export function folded(angle) {
  return ((angle % 720) + 720) % 720;
}

export function hasNumbers(point) {
  return point.status === 'converged' || point.status === 'not converged';
}

// Pressures of one cylinder over its crank angle at one speed, Pa: absolute at the ports and in the
// cylinder, gauge for the two waves. Null if they are not stored.
const unpacked = new Map();
export function trace(header, speed, cylinder, kind) {
  const packed = headers[header].points[speed].traces?.[kind];
  if (!packed) return null;
  const n = study.trace_points;
  if (typeof packed !== 'string') return packed.subarray(cylinder * n, (cylinder + 1) * n); // computed here
  const key = `${header}/${speed}/${kind}`;
  if (!unpacked.has(key)) {
    if (unpacked.size > 60) unpacked.clear();
    unpacked.set(key, unpackSeries(packed, kind === 'cylinder_pressure' ? study.step.cylinder : study.step.port));
  }
  return unpacked.get(key).subarray(cylinder * n, (cylinder + 1) * n);
}

// Pressure along the path of the wave diagram, Pa absolute, row by row of crank angle.
const diagrams = new Map();
export function wavePressure(header, speed) {
  const wave = headers[header].points[speed].wave;
  if (!wave) return null;
  const key = `${header}/${speed}`;
  if (!diagrams.has(key)) {
    if (diagrams.size > 4) diagrams.clear();
    diagrams.set(key, unpackSeries(wave.pressure, study.step.diagram));
  }
  return diagrams.get(key);
}

export function diagramSpeeds(header) {
  return speeds.map((_, s) => s).filter((s) => headers[header].points[s].wave);
}

export function nearest(list, target) {
  return list.reduce(
    (best, s) => (Math.abs(speeds[s] - speeds[target]) < Math.abs(speeds[best] - speeds[target]) ? s : best),
    list[0]
  );
}

// Indices of at most `most` of `count` things, evenly from the first to the last.
export function evenly(count, most) {
  if (count <= most) return Array.from({ length: count }, (_, k) => k);
  const every = (count - 1) / (most - 1);
  return [...new Set(Array.from({ length: most }, (_, k) => Math.round(k * every)))];
}

// Indices of the headers, the one with the highest mean torque over the band first.
export const { ranking } = study;
export const best = ranking[0];

const otherWay = { ahead: 'behind', 'probably ahead': 'probably behind', 'probably behind': 'probably ahead', behind: 'ahead' };

const minus = (value) => (value === null ? null : -value); // -null would be a number

function reversed(difference) {
  return { ...difference, value: minus(difference.value), low: minus(difference.high), high: minus(difference.low) };
}

function reversedSplit(split) {
  if (!split?.shares) return split;
  const shares = Object.fromEntries(
    Object.entries(split.shares).map(([part, { torque, low, high }]) => [part, { torque: -torque, low: -high, high: -low }])
  );
  return { ...split, shares, rest: -split.rest };
}

// Header a less header b; null for one and the same. The file has every pair once.
export function pairOf(a, b) {
  const found = study.pairs.find((pair) => pair.header === a && pair.other === b);
  if (found) return found;
  const other = study.pairs.find((pair) => pair.header === b && pair.other === a);
  if (!other) return null;
  return {
    ...other,
    torque: reversed(other.torque),
    power: minus(other.power),
    split: reversedSplit(other.split),
    verdict: otherWay[other.verdict] ?? other.verdict,
    speeds: other.speeds.map((one) => ({ ...one, torque: reversed(one.torque), verdict: otherWay[one.verdict] ?? one.verdict })),
  };
}

// Why a point takes no part in verdicts and means: words, or null if it counts.
export function faultAt(header, s) {
  const found = headers[header].figures.excluded.find((point) => Math.abs(point.speed_rpm - speeds[s]) < 0.01);
  return found ? found.fault : null;
}

export function rpm(s) {
  return `${Math.round(speeds[s])} rpm`;
}
