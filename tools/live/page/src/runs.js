// Which points are computed, in which order, and by whom: as many workers as the device has
// processors. A job that is no longer wanted is dropped within a tenth of a second; what was
// computed stays, so that undo and a header that is selected again show their numbers at once.
import { makeWorker } from './solver.js';

const mostWorkers = 16;
const fewWorkers = 4; // on a phone, and on what has little memory
const mostTries = 2; // of a point that ended its worker
const mostTraces = 400; // points of which traces are kept, about 0.1 MB each
const coarseCells = 0.03; // m

const results = new Map(); // key -> { point, faults, traces } or { failure }
const followers = [];
let workers = []; // { worker, job, last: message or null }
let wanted = []; // jobs in order; none of them is done
let stopped = false;
let nextId = 1;
let limit = Infinity; // of workers, lower after one was broken
let trouble = ''; // why there are no workers
const tries = new Map(); // key -> workers that it ended
const watchers = [];

// job: { key, header, speed (rpm), cells (m), grid: 'coarse' or 'fine', text, slot }
//   key    of everything that the numbers depend on
//   slot   names the state that the next similar run may start from
export function coarseGrid(cells) {
  return Math.max(coarseCells, cells);
}

export function workerCount() {
  const small = navigator.deviceMemory <= 4 || matchMedia('(pointer: coarse)').matches;
  return Math.min(small ? fewWorkers : mostWorkers, limit, Math.max(1, navigator.hardwareConcurrency || 2));
}

// Calls listener after every new result.
export function onResult(listener) {
  followers.push(listener);
}

// Calls listener after every change of what progress() says.
export function onProgress(listener) {
  watchers.push(listener);
}

function announceProgress() {
  for (const watcher of watchers) watcher();
}

function announceResult() {
  for (const follower of followers) follower();
  announceProgress();
}

export function resultOf(key) {
  return results.get(key) ?? null;
}

// { running, left, workers, stopped, trouble }: for the line that says what is going on.
export function progress() {
  const running = workers.filter(({ job }) => job).map(({ job, last }) => ({ header: job.header, speed: job.speed, grid: job.grid, cycles: last?.cycles ?? 0 }));
  return { running, left: wanted.length, workers: workers.length, stopped, trouble };
}

function remember(key, result) {
  results.delete(key);
  results.set(key, result);
  const traced = [...results.entries()].filter(([, one]) => one.traces);
  for (const [, one] of traced.slice(0, Math.max(0, traced.length - mostTraces))) one.traces = one.shown = null;
  if (results.size > 20 * mostTraces) results.delete(results.keys().next().value);
}

function receive(one, data) {
  const { job } = one;
  if (!job || data.id !== job.id) return;
  if (data.cycles !== undefined && !data.point) {
    one.last = data;
    announceProgress();
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

// A worker that is of no use any more: another one takes its place, with half as many beside it, and
// its point is tried again.
function replace(one, reason, atStart = false) {
  const { job } = one;
  one.worker.terminate();
  workers = workers.filter((other) => other !== one);
  const last = limit === 1 && workers.length === 0;
  limit = Math.max(1, Math.floor(workerCount() / 2));
  if (atStart && last) {
    stopped = true; // not one can be made: trying on would never end
    trouble = reason;
  } else if (!atStart && job && !job.dropped) {
    tries.set(job.key, (tries.get(job.key) ?? 0) + 1);
    if (tries.get(job.key) >= mostTries) {
      remember(job.key, { failure: reason });
      wanted = wanted.filter(({ key }) => key !== job.key);
    }
  }
  while (workers.length > limit) workers.pop().worker.terminate();
  want(wanted);
  announceResult();
}

function newWorker() {
  const one = { worker: makeWorker(), job: null, last: null };
  one.worker.onmessage = ({ data }) => (data.broken === undefined ? receive(one, data) : replace(one, data.broken, data.atStart));
  one.worker.onerror = (event) => {
    event.preventDefault();
    replace(one, event.message || 'the worker stopped');
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
    try {
      while (workers.length < Math.min(workerCount(), wanted.length)) workers.push(newWorker());
    } catch (error) {
      limit = Math.max(1, workers.length);
      if (workers.length === 0) trouble = error.message;
    }
  }
  assign();
  announceProgress();
}

// Ends all workers at once; go(true) begins again with what is wanted.
export function go(on) {
  stopped = !on;
  trouble = '';
  if (!on) {
    for (const { worker } of workers) worker.terminate();
    workers = [];
  } else {
    want(wanted);
  }
  announceProgress();
}
