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

const mostKept = 80; // runs to start from; each holds the state of an engine
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

function instantiate(module) {
  return globalThis.pulsewright({
    instantiateWasm(imports, done) {
      WebAssembly.instantiate(module, imports).then((instance) => done(instance, module));
      return {};
    },
  });
}

async function ask(call, request) {
  const solver = await ready;
  const answer = JSON.parse(solver.ccall('answer', 'string', ['string'], [JSON.stringify({ call, ...request })]));
  if (answer.error !== undefined) throw new Error(answer.error);
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
    await ask('forget', { run }).catch(() => {});
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
      postMessage({ id: task.id, error: String(error.message ?? error) });
    }
    cancelled.delete(task.id);
  }
  busy = false;
}

onmessage = ({ data }) => {
  if (data.module) ready = instantiate(data.module);
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
