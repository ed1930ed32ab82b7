// The case and its computed points in the form in which the modules of the report read a study, so
// that charts, drawing and sheets are the same ones. What the report takes from a results file is
// filled in here: headers, points, curves, and provisional differences.
import { announce, choice } from '../../../report/page/src/choice.js';
import { evenly, headers, speeds, study } from '../../../report/page/src/study.js';
import { state } from './case_state.js';
import { coarseGrid, resultOf } from './runs.js';
import { ask } from './solver.js';

const coarseSpeeds = 10;

// Parts of a case that move no number of a point.
const idle = ['title', 'notes', 'invented', 'header', 'run', 'build', 'dyno', 'sound', 'tune', 'calibrated'];
const idleOfRun = ['from', 'to', 'step', 'speeds', 'band_from', 'band_to', 'added_speeds', 'wave_speeds', 'wave_cylinder', 'wave_angles', 'cell_size'];
const idleOfHeader = ['name', 'notes', 'path'];

function without(object, names) {
  return Object.fromEntries(Object.entries(object ?? {}).filter(([name]) => !names.includes(name)));
}

// What the numbers of a header depend on, as text.
function numbersKey(values, i) {
  return JSON.stringify([without(values, idle), without(values.run, idleOfRun), without(values.header[i], idleOfHeader)]);
}

const nothing = { status: 'missing', merges: null }; // a point that is not computed

let cells = 0.01;
let keys = []; // of each header

// A short name for what numbers depend on.
const known = new Map();
function numberOf(key) {
  if (!known.has(key)) known.set(key, known.size + 1);
  return known.get(key);
}

let coarseOf = []; // indices of the speeds of the coarse grid
// Before there is a case: one header of which nothing is known.
export function beginEmpty() {
  const nobody = speeds.map(() => null);
  Object.assign(study, { trace_points: 720, ambient_pressure: 0, valves: null, pairs: [] });
  Object.assign(headers[0], {
    merges: [],
    notes: '',
    drawing: null,
    cut_sheet: null,
    step_length: 0,
    points: speeds.map(() => nothing),
    figures: { excluded: [], faults: [] },
    curves: Object.fromEntries(study.curve_charts.map(({ figure }) => [figure, { value: nobody, low: nobody, high: nobody }])),
  });
}

function jobOf(i, s, grid) {
  const size = grid === 'coarse' ? coarseGrid(cells) : cells;
  return {
    key: `${keys[i]}@${speeds[s]}@${size}@${grid}`,
    header: headers[i].name,
    speed: speeds[s],
    cells: size,
    grid,
    text: state.goodText,
    // Headers of one place in the file are neighbours: a copy, or the same with another length.
    slot: `${headers[i].kind} ${headers[i].cylinders.length} ${i === choice.reference ? 'reference' : 'hand'} ${speeds[s]}`,
    place: s,
  };
}

// All jobs in the order in which they are wanted: for the first curve coarse cells at ten speeds, low
// ones first, of the header in hand and then of the others that are shown; then their own cells.
export function wantedJobs() {
  if (!state.good?.case.engine || !state.read?.case) return [];
  const others = headers.map((_, i) => i).filter((i) => i !== choice.header && (i === choice.reference || choice.shown[i]));
  others.sort((a, b) => Number(b === choice.reference) - Number(a === choice.reference));
  const jobs = [];
  for (const i of [choice.header, ...others]) for (const s of coarseOf) jobs.push(jobOf(i, s, 'coarse'));
  const order = [choice.header, ...others.filter((i) => i === choice.reference)];
  speeds.forEach((_, s) => order.forEach((i) => jobs.push(jobOf(i, s, 'fine'))));
  for (const i of others.filter((one) => one !== choice.reference)) speeds.forEach((_, s) => jobs.push(jobOf(i, s, 'fine')));
  return jobs;
}

// ---------------------------------------------------------------- points

function pointOf(result) {
  const { point, traces } = result;
  const cylinders = {};
  for (const one of point.cylinders) {
    for (const [name, value] of Object.entries(one)) {
      cylinders[name] ??= [];
      cylinders[name].push(value);
    }
  }
  return {
    status: point.converged ? 'converged' : 'not converged',
    cycles: point.cycles,
    period: point.period,
    cells: point.cells,
    cell_size: point.cell_size,
    clipped: point.clipped,
    cylinders,
    merges: point.merges,
    traces,
  };
}

let named = []; // names of the merges of each header, as its points have them

function resultAt(i, s, grid) {
  return resultOf(jobOf(i, s, grid).key);
}

function fill(i) {
  const header = headers[i];
  const excluded = [];
  const curves = Object.fromEntries(study.curve_charts.map(({ figure }) => [figure, { value: [], low: [], high: [], coarse: [] }]));
  header.points = speeds.map((_, s) => {
    const coarse = resultAt(i, s, 'coarse');
    const fine = resultAt(i, s, 'fine');
    const best = fine ?? coarse;
    for (const [figure, curve] of Object.entries(curves)) {
      curve.value.push(fine?.point?.[figure] ?? null);
      curve.low.push(null);
      curve.high.push(null);
      curve.coarse.push(coarse?.faults?.length === 0 ? (coarse.point[figure] ?? null) : null);
    }
    if (!best) return nothing;
    if (!best.point) {
      excluded.push({ speed_rpm: speeds[s], fault: 'failed' });
      return { status: 'failed', failure: best.failure, merges: null };
    }
    if (best.faults.length > 0) excluded.push({ speed_rpm: speeds[s], fault: best.faults.join('; ') });
    best.shown ??= pointOf(best);
    best.shown.traces = best.traces;
    if (best.point.merges.length > 0) named[i] = best.point.merges.map(({ merge, name }) => merge ?? name);
    header.cylinders = best.point.cylinders.map(({ number }) => number);
    return best.shown;
  });
  for (const curve of Object.values(curves)) {
    // Coarse cells are no longer of interest where the case's own are complete.
    if (curve.value.every((v) => v !== null) || curve.coarse.every((v) => v === null)) delete curve.coarse;
  }
  header.merges = named[i] ?? [];
  header.curves = curves;
  header.figures = { excluded, faults: [] };
}

// ---------------------------------------------------------------- differences

const counts = (one) => Boolean(one?.point) && one.faults.length === 0;

// Torque of header a less that of b by speed, on one and the same grid; null where one is missing or
// does not count.
function differenceOn(grid, a, b) {
  return speeds.map((_, s) => {
    const [own, other] = [a, b].map((i) => resultAt(i, s, grid));
    return counts(own) && counts(other) ? own.point.torque - other.point.torque : null;
  });
}

const inBand = (speed) => speed >= study.band_rpm[0] - 1e-6 && speed <= study.band_rpm[1] + 1e-6;

// { mean, error, from_rpm, to_rpm } of values by speed; null until they span the band, or as much of it
// as was run, with at least three speeds in it where there are so many.
function bandMean(values) {
  const at = values.map((v, s) => [v, speeds[s]]).filter(([v]) => v !== null);
  const most = Math.min(3, speeds.filter(inBand).length);
  if (at.filter(([, speed]) => inBand(speed)).length < Math.max(1, most)) return null;
  const [from, to] = study.band_rpm;
  const reaches = at[0][1] <= Math.max(from, speeds[0]) + 1e-6 && at.at(-1)[1] >= Math.min(to, speeds.at(-1)) - 1e-6;
  if (!reaches) return null;
  if (at.length === 1) return { mean: at[0][0], error: null, from_rpm: at[0][1], to_rpm: at[0][1] };
  const answer = ask('band', { speeds_rpm: at.map(([, speed]) => speed), values: at.map(([v]) => v), from_rpm: from, to_rpm: to });
  return typeof answer.error === 'number' ? answer : null; // else a text: it could not be answered
}

// { mean, margin, grid ('fine' or 'coarse'), from_rpm, to_rpm } of the difference over the band, N m, or
// null while there are too few points. The margin holds what may bend between the speeds and what the
// cells move: less than `compare` puts into its interval; null where it is not known, as on coarse cells
// alone. A point that is computed and does not count is done.
export function provisional(a, b) {
  const [fine, coarse] = ['fine', 'coarse'].map((grid) => differenceOn(grid, a, b));
  const done = speeds.every((speed, s) => !inBand(speed) || [a, b].every((i) => resultAt(i, s, 'fine')));
  const found = done ? bandMean(fine) : null;
  if (!found) {
    const first = bandMean(coarse);
    return first && { ...first, margin: null, grid: 'coarse' };
  }
  const both = (values) => bandMean(values.map((v, s) => (fine[s] === null || coarse[s] === null ? null : v)));
  const [moved, from] = [both(fine), both(coarse)];
  const margin = found.error === null || !moved || !from ? null : Math.hypot(found.error, moved.mean - from.mean);
  return { ...found, margin, grid: 'fine' };
}

// Of the header in hand and the one that it is held against.
function pairs() {
  const [a, b] = [choice.header, choice.reference];
  if (a === b) return [];
  const found = provisional(a, b);
  const torque = (value, margin = null) => ({ value, margin, low: null, high: null, complete: false });
  return [
    {
      header: a,
      other: b,
      torque: torque(found?.mean ?? null, found?.margin),
      power: null,
      split: null,
      verdict: 'provisional',
      crossings_rpm: [],
      other_bands: [],
      speeds: differenceOn('fine', a, b)
        .map((value, s) => ({ speed_rpm: speeds[s], torque: torque(value), verdict: 'provisional' }))
        .filter(({ torque: { value } }) => value !== null),
    },
  ];
}

export function fillPairs() {
  study.pairs = pairs();
}

function fillPoints() {
  headers.forEach((_, i) => fill(i));
  fillPairs();
}

// New results.
export function showPoints() {
  fillPoints();
  announce(['points']);
}

// ---------------------------------------------------------------- the case

function stepOf(lengths) {
  const all = Object.values(lengths);
  return all.length === 0 ? 0 : Math.max(...all) - Math.min(...all);
}

const drawings = new Map(); // by all that a drawing depends on
function drawn(i, name) {
  if (!drawings.has(keys[i])) {
    if (drawings.size > 60) drawings.clear();
    const drawing = ask('drawing', { text: state.goodText, header: name });
    drawings.set(keys[i], drawing.error === undefined ? drawing : null);
  }
  return drawings.get(keys[i]);
}

// The case as it reads now. Headers keep their place, so that the one in hand stays in hand.
export function showCase() {
  const { case: read, values } = state.good;
  study.title = read.title;
  study.notes = read.notes;
  study.invented = read.invented;
  study.case_text = state.goodText;
  study.case_file = state.name;
  study.band_rpm = read.band_rpm;
  study.build_tolerance = read.build_tolerance;
  study.ambient_pressure = read.ambient_pressure;
  study.trace_points = values.run?.trace_points ?? 720;
  cells = read.cell_size;
  speeds.splice(0, speeds.length, ...read.speeds_rpm);
  coarseOf = evenly(speeds.length, coarseSpeeds);
  keys = read.headers.map((_, i) => numberOf(numbersKey(values, i)));
  named = [];
  const before = headers.map(({ drawing, cut_sheet: sheet }) => ({ drawing, sheet }));
  sheetOf = null;
  headers.splice(
    0,
    headers.length,
    ...read.headers.map((header, i) => {
      const seen = i === choice.header || i === choice.reference;
      return {
        name: header.name,
        kind: header.kind,
        notes: header.notes,
        cylinders: [...read.cylinders].sort((a, b) => a - b),
        merges: [],
        step_length: stepOf(header.lengths),
        lengths: header.lengths,
        drawing: seen ? drawn(i, header.name) : (before[i]?.drawing ?? null),
        cut_sheet: before[i]?.sheet ?? null,
        figures: { excluded: [], faults: [] },
        points: speeds.map(() => nothing),
        curves: {},
      };
    })
  );
  choice.header = Math.min(choice.header, headers.length - 1);
  choice.reference = Math.min(choice.reference, headers.length - 1);
  if (choice.header === choice.reference && headers.length > 1) choice.reference = choice.header === 0 ? 1 : 0;
  choice.shown = headers.map((_, i) => choice.shown[i] || i === choice.header || i === choice.reference);
  study.valves = headers[choice.header].drawing?.valve_events ?? null;
  fillPoints();
  announce(['headers']);
}

// Drawings of headers that were not shown before.
export function showDrawing() {
  for (const i of [choice.header, choice.reference]) headers[i].drawing = drawn(i, headers[i].name);
  study.valves = headers[choice.header].drawing?.valve_events ?? study.valves;
}

let sheetOf = null; // place of the header whose cutting sheet is that of the case as it is

// The cutting sheet of the header in hand: not while a slider moves.
export function showSheet() {
  if (!state.read?.case || sheetOf === choice.header) return;
  const answer = ask('sheet', { text: state.goodText, header: headers[choice.header].name });
  headers[choice.header].cut_sheet = answer.sheet ?? { error: answer.error };
  sheetOf = choice.header;
  announce(['points']);
}
