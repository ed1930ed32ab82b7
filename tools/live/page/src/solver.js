// The solver in this page: one instance here, which reads and changes case files, and what a worker
// needs to make its own. tools/live/README.md states the calls.
import { gunzipSync } from 'fflate';
import { answerOf, instanceOf } from './instance.js';

const embedded = (id) => document.getElementById(id).textContent;

let session = null;
let compiled = null;

// Compiles the module that this page holds; to be awaited before the first ask().
export async function loadSolver() {
  const letters = atob(embedded('solver-module'));
  const bytes = gunzipSync(Uint8Array.from(letters, (letter) => letter.charCodeAt(0)));
  compiled = await WebAssembly.compile(bytes);
  session = await instanceOf(compiled);
}

// The answer to a call: what cannot be answered has `error`.
export function ask(call, request = {}) {
  return answerOf(session, call, request);
}

let source = null;

// A worker with the module, ready for tasks (worker.js).
export function makeWorker() {
  source ??= URL.createObjectURL(new Blob([embedded('solver-script'), '\n', embedded('worker-script')], { type: 'text/javascript' }));
  const worker = new Worker(source);
  worker.postMessage({ module: compiled });
  return worker;
}
