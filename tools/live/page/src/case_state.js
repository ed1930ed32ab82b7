// The case file in the page: its text, what the reader says of it, and the texts before it. The text
// is the only state; form, sliders and curves follow from it.
import { choice } from '../../../report/page/src/choice.js';
import { keep } from './kept_cases.js';
import { ask } from './solver.js';

const mostSteps = 300; // of undo

export const state = {
  name: 'case.toml',
  text: '',
  read: null, // the answer of `read` to the text
  good: null, // the last one without problems, and its text
  goodText: '',
  due: false, // changed, and not yet told to the workers
  kept: true, // whether this browser keeps it
  saved: '', // the text as it was opened or saved last
};

const before = [];
const after = [];
let held = ''; // key of a slider that is being moved
const listeners = [];

// Calls listener(reason) after every change: 'open' for another case, 'edit', 'undo'.
export function onCase(listener) {
  listeners.push(listener);
}

let given = null; // the text with which the page was made

export function startedWith(text) {
  given = text;
}

function take(text, reason) {
  state.text = text;
  state.read = ask('read', { text, units: choice.units });
  if (state.read.case) {
    state.good = state.read;
    state.goodText = text;
  }
  for (const listener of listeners) listener(reason);
}

function keepCase() {
  state.kept = keep({ name: state.name, text: state.text, from: given });
}

function step() {
  const { name, text, good, goodText } = state;
  return { name, text, good, goodText };
}

// byUser: a file that the user chose is kept; one that the page came with is not, before it is changed.
export function openCase(name, text, byUser = true) {
  if (state.text !== '') before.push(step());
  after.length = 0;
  state.name = name;
  state.good = null;
  state.saved = text;
  held = '';
  state.text = text;
  if (byUser) keepCase();
  take(text, 'open');
}

// Does edits of the text; returns what is wrong with them, or null. key: all changes of the same one,
// until letGo(), are one step of undo.
export function change(edits, key = '') {
  const answer = ask('edit', { text: state.text, edits });
  if (answer.error !== undefined) return answer.error;
  if (answer.text === state.text) return null;
  if (key === '' || key !== held) {
    before.push(step());
    if (before.length > mostSteps) before.shift();
  }
  held = key;
  after.length = 0;
  state.text = answer.text;
  keepCase();
  take(answer.text, 'edit');
  return null;
}

export function letGo() {
  held = '';
}

export function canUndo() {
  return before.length > 0;
}
export function canRedo() {
  return after.length > 0;
}

function back(from, to) {
  if (from.length === 0) return;
  to.push(step());
  const { name, text, good, goodText } = from.pop();
  const other = name !== state.name;
  Object.assign(state, { name, text, good, goodText });
  held = '';
  keepCase();
  take(text, other ? 'open' : 'undo');
}
export function undo() {
  back(before, after);
}
export function redo() {
  back(after, before);
}

// The messages again, in other units.
export function readAgain() {
  if (state.text !== '') take(state.text, 'units');
}

// The value at a full name in what a file says, "header[2].bends[1].angle"; undefined if there is
// none.
export function valueAt(values, key) {
  let node = values;
  for (const [, name, place] of key.matchAll(/([^.[\]]+)|\[(\d+)\]/g)) {
    if (node === null || node === undefined) return undefined;
    node = place === undefined ? node[name] : node[Number(place) - 1];
  }
  return node;
}
