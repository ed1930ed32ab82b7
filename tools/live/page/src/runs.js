// Which points are computed, in which order, and by whom: as many workers as the device has
// processors. A job that is no longer wanted is dropped within a tenth of a second; what was
// computed stays, so that undo and a header that is selected again show their numbers at once.
import { makeWorker } from './solver.js';

const mostWorkers = 16;
const mostTraces = 400; // points of which traces are kept, about 0.1 MB each
const coarseCells = 0.03; // m

const results = new Map(); // key -> { point, faults, traces } or { failure }
const followers = [];
let workers = []; // { worker, job, last: message or null }
let wanted = []; // jobs in order; none of them is done
let stopped = false;
let nextId = 1;

// job: { key, header, speed (rpm), cells (m), grid: 'coarse' or 'fine', text, slot }
//   key    of everything that the numbers depend on
//   slot   names the state that the next similar run may start from
export function coarseGrid(cells) {
  return Math.max(coarseCells, cells);
}

export function workerCount() {
  return Math.min(mostWorkers, Math.max(1, navigator.hardwareConcurrency || 2));
}

export function onResult(listener) {
  followers.push(listener);
}

function announceResult() {
  for (const follower of followers) follower();
}

export function resultOf(key) {
  return results.get(key) ?? null;
}

// { running, left, done, workers, stopped }: for the line that says what is going on.
export function progress() {
  const running = workers.filter(({ job }) => job).map(({ job, last }) => ({ header: job.header, speed: job.speed, grid: job.grid, cycles: last?.cycles ?? 0 }));
  return { running, left: wanted.length, workers: workers.length, stopped };
}

function remember(key, result) {
  results.delete(key);
  results.set(key, result);
  const traced = [...results.entries()].filter(([, one]) => one.traces);
  for (const [, one] of traced.slice(0, Math.max(0, traced.length - mostTraces))) one.traces = null;
  if (results.size > 20 * mostTraces) results.delete(results.keys().next().value);
}

function receive(one, data) {
  const { job } = one;
  if (!job || data.id !== job.id) return;
  if (data.cycles !== undefined && !data.point) {
    one.last = data;
    announceResult();
    return;
  }
  one.job = null;
  one.last = null;
  if (!data.cancelled && !job.dropped) {
    remember(job.key, data.error === undefined ? { point: data.point, faults: data.faults, traces: data.traces, milliseconds: data.milliseconds, startedFrom: data.startedFrom } : { failure: data.error });
    wanted = wanted.filter(({ key }) => key !== job.key);
  }
  assign();
  announceResult();
}

function newWorker() {
  const one = { worker: makeWorker(), job: null, last: null };
  one.worker.onmessage = ({ data }) => receive(one, data);
  one.worker.onerror = (event) => {
    event.preventDefault();
    // What it computed is lost; another one takes its place.
    one.worker.terminate();
    workers = workers.map((other) => (other === one ? newWorker() : other));
    if (one.job) receive(one, { id: one.job.id, error: event.message || 'the worker stopped' });
  };
  return one;
}

// A worker prefers the speeds that it has states of: every speed belongs to one of them.
function homeOf(job) {
  return job.place % Math.max(1, workers.length);
}

function assign() {
  if (stopped) return;
  const free = workers.map((one, i) => [one, i]).filter(([one]) => !one.job);
  const taken = new Set(workers.filter(({ job }) => job).map(({ job }) => job.key));
  for (const [one, i] of free) {
    const open = wanted.filter(({ key }) => !taken.has(key));
    if (open.length === 0) return;
    // Of what comes next for anyone, the one at home here, else the first.
    const next = open.slice(0, workers.length).find((job) => homeOf(job) === i) ?? open[0];
    taken.add(next.key);
    one.job = { ...next, id: nextId };
    nextId += 1;
    one.worker.postMessage({
      task: {
        id: one.job.id,
        text: next.text,
        header: next.header,
        speed: next.speed,
        cells: next.cells,
        patterns: next.grid === 'fine', // it takes many cycles: not for a first look
        start: [next.slot],
        keep: next.grid === 'coarse' ? next.slot : null,
      },
    });
  }
}

// From now on these jobs are wanted, in this order, and no others.
export function want(jobs) {
  wanted = jobs.filter(({ key }) => !results.has(key));
  const keys = new Set(wanted.map(({ key }) => key));
  for (const one of workers) {
    if (one.job && !one.job.dropped && !keys.has(one.job.key)) {
      one.job.dropped = true;
      one.worker.postMessage({ cancel: one.job.id });
    }
  }
  if (wanted.length > 0 && !stopped) {
    while (workers.length < Math.min(workerCount(), Math.max(workers.length, wanted.length))) workers.push(newWorker());
  }
  assign();
  announceResult();
}

// Ends all workers at once; go(true) begins again with what is wanted.
export function go(on) {
  stopped = !on;
  if (!on) {
    for (const { worker } of workers) worker.terminate();
    workers = [];
  } else {
    want(wanted);
  }
  announceResult();
}
