// Computes operating points, one at a time, a few cycles at once. Runs in a worker whose script begins
// with that of the solver.
//
//   in   { module }                               the compiled solver, first
//        { task: { id, text, header, speed, cells, patterns, start, keep } }
//             patterns: whether a second pattern of equal cylinders is looked for
//             start, keep: names under which a run is looked for to start from, and is kept
//        { cancel: id }                           the task, running or waiting, is dropped
//   out  { id, cycles }                           from time to time
//        { id, point, faults, traces, startedFrom, milliseconds }   the task is done
//        { id, error }                            it cannot be computed
//        { id, cancelled: true }                  it was dropped; nothing of it is left
//        { broken, atStart }                      this worker is of no use any more: the reason
//        { runs, kept }                           runs of the solver, and those to start from: the answer to
//                                                 { count: true }
import { answerOf, instanceOf } from './instance.js';

const mostKept = 24; // runs to start from; each holds the state of an engine, 0.6 MB of a V8
const slice = 0.08; // s between two looks at what came meanwhile

let ready = null;
const waiting = [];
const cancelled = new Set();
const kept = new Map(); // name -> run, the one used last at the end
let busy = false;

const pause = () =>
  new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = resolve;
    port2.postMessage(null);
  });

class Broken extends Error {}

let held = 0; // runs that the solver holds

// Throws an Error with what the solver says, and Broken where it can say nothing.
async function ask(call, request) {
  let answer;
  try {
    answer = answerOf(await ready, call, request);
  } catch (error) {
    throw new Broken(error.message ?? String(error));
  }
  if (typeof answer.error === 'string') throw new Error(answer.error);
  if (call === 'begin') held += 1;
  if (call === 'forget') held -= 1;
  return answer;
}

// All cylinders one after the other, by trace.
function packed(cylinders) {
  const traces = {};
  for (const name of Object.keys(cylinders[0] ?? {})) {
    if (name === 'number') continue;
    const points = cylinders[0][name].length;
    const all = new Float32Array(points * cylinders.length);
    cylinders.forEach((cylinder, i) => all.set(cylinder[name], i * points));
    traces[name] = all;
  }
  return traces;
}

async function keepRun(name, run) {
  const before = kept.get(name);
  kept.delete(name);
  if (before !== undefined && before !== run) await ask('forget', { run: before });
  kept.set(name, run);
  while (kept.size > mostKept) {
    const [oldest, old] = kept.entries().next().value;
    kept.delete(oldest);
    await ask('forget', { run: old });
  }
}

async function compute({ id, text, header, speed, cells, patterns, start, keep }) {
  const began = performance.now();
  const from = (start ?? []).map((name) => kept.get(name)).find((run) => run !== undefined);
  const { run } = await ask('begin', { text, header, speed_rpm: speed, cell_size: cells, second_pattern: patterns, ...(from === undefined ? {} : { start: from }) });
  let state;
  try {
    for (;;) {
      state = await ask('advance', { run, seconds: slice });
      if (state.done) break;
      postMessage({ id, cycles: state.cycles });
      await pause(); // messages that came meanwhile are read here
      if (cancelled.delete(id)) {
        await ask('forget', { run });
        return { id, cancelled: true };
      }
    }
    if (!state.point) throw new Error(state.faults.join('; '));
    const { cylinders } = await ask('traces', { run });
    const traces = packed(cylinders);
    const good = state.faults.length === 0;
    if (keep && good) await keepRun(keep, run);
    else await ask('forget', { run });
    return { id, point: state.point, faults: state.faults, traces, startedFrom: state.started_from ?? null, milliseconds: performance.now() - began };
  } catch (error) {
    if (!(error instanceof Broken)) await ask('forget', { run });
    throw error;
  }
}

async function work() {
  if (busy) return;
  busy = true;
  while (waiting.length > 0) {
    const task = waiting.shift();
    try {
      const answer = await compute(task);
      postMessage(answer, Object.values(answer.traces ?? {}).map((values) => values.buffer));
    } catch (error) {
      if (error instanceof Broken) {
        postMessage({ broken: error.message });
        return;
      }
      postMessage({ id: task.id, error: error.message });
    }
    cancelled.delete(task.id);
  }
  busy = false;
}

onmessage = ({ data }) => {
  if (data.module) {
    ready = instanceOf(data.module);
    ready.catch((error) => postMessage({ broken: String(error.message ?? error), atStart: true }));
  }
  if (data.count) postMessage({ runs: held, kept: kept.size });
  if (data.cancel !== undefined) {
    const at = waiting.findIndex(({ id }) => id === data.cancel);
    if (at >= 0) {
      waiting.splice(at, 1);
      postMessage({ id: data.cancel, cancelled: true });
    } else if (busy) cancelled.add(data.cancel);
  }
  if (data.task) {
    waiting.push(data.task);
    work();
  }
};
