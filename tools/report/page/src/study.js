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
  const key = `${header}/${speed}/${kind}`;
  if (!unpacked.has(key)) {
    if (unpacked.size > 60) unpacked.clear();
    unpacked.set(key, unpackSeries(packed, kind === 'cylinder_pressure' ? study.step.cylinder : study.step.port));
  }
  const n = study.trace_points;
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

// Indices of the headers, the one with the highest mean torque over the band first.
export function byTorque() {
  const mean = (i) => headers[i].figures.band.torque ?? -Infinity;
  return headers.map((_, i) => i).sort((a, b) => mean(b) - mean(a));
}

export function rpm(s) {
  return `${Math.round(speeds[s])} rpm`;
}
