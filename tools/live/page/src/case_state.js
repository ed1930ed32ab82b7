// The case file in the page: its text, what the reader says of it, and the texts before it. The text
// is the only state; form, sliders and curves follow from it.
import { remember, remembered } from '../../../report/page/src/memory.js';
import { choice } from '../../../report/page/src/choice.js';
import { ask } from './solver.js';

const mostSteps = 300; // of undo

export const state = {
  name: 'case.toml',
  text: '',
  read: null, // the answer of `read` to the text
  good: null, // the last one without problems, and its text
  goodText: '',
};

const before = [];
const after = [];
let held = ''; // key of a slider that is being moved
const listeners = [];

// Calls listener(reason) after every change: 'open' for another case, 'edit', 'undo'.
export function onCase(listener) {
  listeners.push(listener);
}

function take(text, reason) {
  state.text = text;
  state.read = ask('read', { text, units: choice.units });
  if (state.read.case) {
    state.good = state.read;
    state.goodText = text;
  }
  remember('live.case', JSON.stringify({ name: state.name, text, from: given }));
  for (const listener of listeners) listener(reason);
}

let given = null; // the text with which the page was made, so that a reload goes on where it was

export function startedWith(text) {
  given = text;
}

export function openCase(name, text) {
  if (state.text !== '') before.push({ name: state.name, text: state.text });
  after.length = 0;
  state.name = name;
  state.good = null;
  held = '';
  take(text, 'open');
}

// The case that this browser kept, { name, text, from }, or null.
export function keptCase() {
  try {
    const kept = JSON.parse(remembered('live.case'));
    return typeof kept?.text === 'string' && kept.text !== '' ? kept : null;
  } catch {
    return null;
  }
}

// Does edits of the text; returns what is wrong with them, or null. key: all changes of the same one,
// until letGo(), are one step of undo.
export function change(edits, key = '') {
  const answer = ask('edit', { text: state.text, edits });
  if (answer.error !== undefined) return answer.error;
  if (answer.text === state.text) return null;
  if (key === '' || key !== held) {
    before.push({ name: state.name, text: state.text });
    if (before.length > mostSteps) before.shift();
  }
  held = key;
  after.length = 0;
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

function step(from, to) {
  if (from.length === 0) return;
  to.push({ name: state.name, text: state.text });
  const { name, text } = from.pop();
  state.name = name;
  held = '';
  take(text, 'undo');
}
export function undo() {
  step(before, after);
}
export function redo() {
  step(after, before);
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
