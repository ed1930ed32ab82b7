// The live page, from top to bottom: a case file as a form, its headers on sliders, and the curves
// that follow, computed in this browser.
import '../../../report/page/src/page.css';
import './live.css';
import single from '../../../../cases/single-cylinder.toml';
import four from '../../../../cases/inline-four.toml';
import six from '../../../../cases/flat-six.toml';
import v8 from '../../../../cases/hillclimb-v8.toml';
import street from '../../../../cases/carburettor-v8.toml';
import { make, foreign } from '../../../report/page/src/dom.js';
import { atSpeedSection } from '../../../report/page/src/at_speed.js';
import { announce, choice, onChange } from '../../../report/page/src/choice.js';
import { theme } from '../../../report/page/src/colours.js';
import { drawingSection } from '../../../report/page/src/drawing.js';
import { showPage, topControls } from '../../../report/page/src/page_frame.js';
import { paperFields } from '../../../report/page/src/paper_fields.js';
import { pulsesSection } from '../../../report/page/src/pulses.js';
import { selectionBar } from '../../../report/page/src/selection.js';
import { sheetsSection } from '../../../report/page/src/sheets.js';
import { headers, speeds, study } from '../../../report/page/src/study.js';
import { canRedo, canUndo, keptCase, onCase, openCase, readAgain, redo, startedWith, state, undo } from './case_state.js';
import { curvesSection } from './curves.js';
import { exportSection, saveCase } from './exports.js';
import { formSection, readTable } from './form.js';
import { handsSection } from './hands.js';
import { headerBar } from './header_bar.js';
import { beginEmpty, showCase, showDrawing, showPoints, showSheet, wantedJobs } from './live_study.js';
import { onResult, want } from './runs.js';
import { loadSolver } from './solver.js';

const examples = [
  ['single-cylinder.toml', 'Single cylinder', single],
  ['inline-four.toml', 'Inline four', four],
  ['flat-six.toml', 'Flat six', six],
  ['carburettor-v8.toml', 'V8, one carburettor', street],
  ['hillclimb-v8.toml', 'V8, runners from the air', v8],
];

const links = [
  ['live', 'Curves'],
  ['form', 'Engine and headers'],
  ['one-header', 'Crank angle'],
  ['pulses', 'Pulses'],
  ['drawing', 'Drawing'],
  ['export', 'Save and export'],
  ['sheets', 'Sheets'],
];

const wrongYet = 'This case is not right yet: put right what the form says, and curves, drawing and sheets appear.';
const pipesOnly = 'A case of pipes only, without an engine: the program computes it (pulsewright run); here it can be read, changed and saved.';

const quietly = 150; // ms after a change before points are computed
const redrawing = 200; // ms between two drawings of new points

// ---------------------------------------------------------------- files

async function openFile(file) {
  if (file.size > 1 << 20) {
    notice(`${file.name} is larger than a case file can be (1 MiB).`);
    return;
  }
  openCase(file.name, await file.text());
  notice('');
}

let notice = () => {};

function fileBar() {
  const input = make('input', { type: 'file', id: 'open-file', class: 'hidden', accept: '.toml,text/plain', tabindex: '-1', 'aria-label': 'Case file' });
  input.addEventListener('change', () => {
    if (input.files[0]) openFile(input.files[0]);
    input.value = '';
  });
  const said = make('p', { class: 'field-error', role: 'alert', hidden: true });
  notice = (text) => {
    said.hidden = text === '';
    said.textContent = text;
  };
  const undoButton = make('button', { type: 'button', id: 'undo', onclick: undo, title: 'Ctrl+Z' }, 'Undo');
  const redoButton = make('button', { type: 'button', id: 'redo', onclick: redo, title: 'Ctrl+Y' }, 'Redo');
  const begin = make('select', { id: 'examples', onchange: (event) => {
    const found = examples.find(([name]) => name === event.target.value);
    if (found) openCase(found[0], found[2]);
    event.target.value = '';
  } }, make('option', { value: '' }, 'an invented engine …'), examples.map(([name, title]) => make('option', { value: name }, title)));
  const bar = make(
    'div',
    { class: 'files' },
    make('div', { class: 'buttons' }, make('button', { type: 'button', id: 'open-case', onclick: () => input.click() }, 'Open a case file'), input, make('button', { type: 'button', onclick: saveCase }, 'Save'), undoButton, redoButton),
    make('span', { class: 'field' }, make('label', { for: 'examples' }, 'Begin with'), begin),
    said
  );
  bar.refresh = () => {
    undoButton.disabled = !canUndo();
    redoButton.disabled = !canRedo();
  };
  return bar;
}

function dropFiles() {
  addEventListener('dragover', (event) => event.preventDefault());
  addEventListener('drop', (event) => {
    event.preventDefault();
    const [file] = event.dataTransfer.files;
    if (file) openFile(file);
  });
}

function keyboard() {
  addEventListener('keydown', (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const typing = event.target.matches?.('input[type="text"], textarea') && event.target.value !== event.target.defaultValue;
    const key = event.key.toLowerCase();
    const action = key === 'z' && !event.shiftKey ? undo : key === 'y' || (key === 'z' && event.shiftKey) ? redo : key === 's' ? saveCase : null;
    if (!action || (typing && action !== saveCase)) return;
    event.preventDefault();
    action();
  });
}

// ---------------------------------------------------------------- the page

let timer = null;

// What is wanted has changed: at once for what is shown, in a moment for what is computed.
function computeSoon(wait = quietly) {
  clearTimeout(timer);
  timer = setTimeout(() => {
    want(wantedJobs());
    if (state.good?.case.engine) showSheet();
  }, wait);
}

function build() {
  const title = make('h1', {}, '');
  const about = make('p', { class: 'quiet', id: 'about' });
  const files = fileBar();
  const bar = headerBar();
  const hands = handsSection();
  const curves = curvesSection();
  const form = formSection();
  const exporting = exportSection();
  const fields = paperFields();
  const notYet = make('p', { class: 'warning', id: 'no-case', hidden: true });
  const computed = make(
    'div',
    { id: 'computed' },
    make('section', { id: 'live', 'aria-labelledby': 'live-title' }, make('h2', { id: 'live-title', class: 'hidden' }, 'Torque'), bar, make('div', { class: 'live-grid' }, curves.main, hands, curves.rest))
  );
  const detail = make(
    'section',
    { id: 'one-header', 'aria-labelledby': 'one-header-title' },
    make('h2', { id: 'one-header-title' }, 'One header in detail'),
    selectionBar(),
    atSpeedSection(),
    pulsesSection(),
    drawingSection()
  );
  const sheets = sheetsSection();
  const parts = [
    make(
      'header',
      {},
      make('p', { class: 'kind' }, 'Live page'),
      title,
      about,
      make('div', { class: 'page-controls' }, files, topControls(fields.editor)),
      fields.printed
    ),
    make('nav', { 'aria-label': 'Sections' }, make('ul', {}, links.map(([id, text]) => make('li', {}, make('a', { href: `#${id}` }, text))))),
    make('main', {}, notYet, computed, form, detail, exporting, sheets),
  ];

  const headings = () => {
    title.replaceChildren(foreign(study.title || 'A new case'));
    const invented = state.good.case.invented ? ' The engine is invented: change its numbers to those of yours.' : '';
    const { headers: all, speeds_rpm: run } = state.good.case;
    about.textContent = `${state.name}, ${all.length === 1 ? 'one header' : `${all.length} headers`}, ${run.length} speeds.${invented} Everything stays in this browser.`;
  };
  const showAll = (reason) => {
    files.refresh();
    const shown = Boolean(state.good?.case.engine);
    notYet.hidden = shown;
    notYet.textContent = state.good ? pipesOnly : wrongYet;
    for (const part of [computed, detail, sheets]) part.hidden = !shown;
    if (state.read.case && !shown) {
      choice.header = 0;
      study.title = state.read.case.title;
      headings();
    }
    if (state.read.case && shown) {
      if (reason === 'open') {
        choice.header = 0;
        choice.reference = 0;
      }
      showCase();
      if (reason === 'open') {
        choice.reference = headers.length > 1 ? 1 : 0;
        choice.shown = headers.map((_, i) => i === choice.header || i === choice.reference);
        const [from, to] = study.band_rpm;
        const middle = 0.5 * (from + to);
        choice.speed = speeds.reduce((near, speed, s) => (Math.abs(speed - middle) <= Math.abs(speeds[near] - middle) ? s : near), 0);
        showDrawing();
        announce(['headers', 'shown', 'speed', 'cylinder']);
      }
      headings();
    }
    form.refresh();
    if (shown) {
      if (reason === 'open') hands.reset();
      else hands.refresh();
    }
    exporting.refresh();
    curves.refresh();
    computeSoon(reason === 'open' ? 0 : quietly);
  };
  onCase(showAll);

  let drawn = 0;
  let due = null;
  onResult(() => {
    due ??= setTimeout(() => {
      due = null;
      drawn = performance.now();
      if (state.good) showPoints();
    }, Math.max(0, drawn + redrawing - performance.now()));
  });
  let hand = 0; // before the last change
  onChange(['header', 'reference'], () => {
    // A header is not held against itself: the other one takes its place.
    if (choice.header === choice.reference && headers.length > 1) choice.reference = hand !== choice.header ? hand : choice.header === 0 ? 1 : 0;
    hand = choice.header;
    for (const i of [choice.header, choice.reference]) choice.shown[i] = true;
    showDrawing();
    announce(['shown', 'headers']);
    form.refresh();
    hands.refresh();
    computeSoon(0);
  });
  onChange(['shown'], () => computeSoon());
  onChange(['units'], () => {
    readTable();
    readAgain();
    form.rebuild();
  });
  return parts;
}

function start() {
  readTable();
  beginEmpty();
  showPage(build, { id: 'live', title: 'curves' });
  dropFiles();
  keyboard();
  const given = JSON.parse(document.getElementById('case').textContent);
  startedWith(given?.text ?? null);
  const kept = keptCase();
  if (given) openCase(given.name, given.text);
  if (kept && (!given || kept.from === given.text)) {
    if (kept.text !== given?.text) openCase(kept.name, kept.text);
  } else if (!given) {
    openCase(examples[1][0], examples[1][2]);
  }
}

document.documentElement.dataset.theme = theme();
const loading = make('p', { class: 'loading', role: 'status' }, 'Starting the solver …');
document.body.append(loading);
loadSolver().then(
  () => {
    loading.remove();
    start();
  },
  (error) => {
    loading.textContent = `This browser cannot run the solver: ${error.message}. A current Firefox, Chrome, Edge or Safari can.`;
  }
);
