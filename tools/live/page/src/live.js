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
import { canRedo, canUndo, onCase, openCase, readAgain, redo, startedWith, state, undo } from './case_state.js';
import { curvesSection } from './curves.js';
import { exportSection, saveCase } from './exports.js';
import { formSection, readTable } from './form.js';
import { keptCases, keptFor } from './kept_cases.js';
import { handsSection } from './hands.js';
import { headerBar } from './header_bar.js';
import { beginEmpty, fillPairs, showCase, showDrawing, showPoints, showSheet, wantedJobs } from './live_study.js';
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

const mostBytes = 1 << 20; // the reader's limit, so that nothing larger is read at all

async function openFile(file) {
  if (file.size > mostBytes) {
    notice(`${file.name} is larger than a case file can be (1 MiB).`);
    return;
  }
  try {
    // Byte for byte: a mark of byte order stays, and other encodings are not guessed.
    const text = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(await file.arrayBuffer());
    notice('');
    openCase(file.name, text);
  } catch {
    notice(`${file.name} is not UTF-8 text: save it as UTF-8 in the editor that wrote it.`);
  }
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
    const [kind, which] = event.target.value.split(':');
    if (kind === 'example') openCase(examples[Number(which)][0], examples[Number(which)][2]);
    const kept = kind === 'kept' ? keptCases().find(({ id }) => id === which) : null;
    if (kept) openCase(kept.name, kept.text);
    event.target.value = '';
  } });
  const bar = make(
    'div',
    { class: 'files' },
    make('div', { class: 'buttons' }, make('button', { type: 'button', id: 'open-case', onclick: () => input.click() }, 'Open a case file'), input, make('button', { type: 'button', onclick: saveCase }, 'Save'), undoButton, redoButton),
    make('span', { class: 'field' }, make('label', { for: 'examples' }, 'Begin with'), begin),
    said
  );
  bar.refresh = () => {
    const kept = keptCases();
    begin.replaceChildren(
      make('option', { value: '' }, 'an invented engine …'),
      ...examples.map(([name, title], k) => make('option', { value: `example:${k}`, 'data-name': name }, title)),
      ...(kept.length > 0 ? [make('optgroup', { label: 'Kept in this browser' }, kept.map(({ id, name, date }) => make('option', { value: `kept:${id}` }, `${name}, ${date}`)))] : [])
    );
    undoButton.disabled = !canUndo();
    redoButton.disabled = !canRedo();
  };
  return bar;
}

// Files, units and print; folded on a narrow screen, where the curve comes first.
function caseBar(...controls) {
  const bar = make('details', { class: 'case-bar' }, make('summary', {}, 'File, undo, units and print'), make('div', { class: 'page-controls' }, controls));
  bar.open = innerWidth > 700;
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
    // In a field that is being typed in they are the browser's.
    const { shown } = event.target.dataset ?? {};
    const typing = event.target.matches?.('input[type="text"], textarea') && event.target.value !== (shown ?? '');
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
  state.due = true;
  timer = setTimeout(() => {
    state.due = false;
    want(wantedJobs());
    if (state.good?.case.engine) showSheet();
  }, wait);
}

function build() {
  // Before all sections: a header is not held against itself, the other one takes its place.
  let hand = 0; // before the last change
  onChange(['header', 'reference'], () => {
    if (choice.header === choice.reference && headers.length > 1) choice.reference = hand !== choice.header ? hand : choice.header === 0 ? 1 : 0;
    hand = choice.header;
    showDrawing();
    fillPairs();
  });
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
      caseBar(files, topControls(fields.editor)),
      fields.printed
    ),
    make('nav', { 'aria-label': 'Sections' }, make('ul', {}, links.map(([id, text]) => make('li', {}, make('a', { href: `#${id}` }, text))))),
    make('main', {}, notYet, computed, form, detail, exporting, sheets),
  ];

  const headings = () => {
    title.replaceChildren(foreign(study.title || 'A new case'));
    const invented = state.good.case.invented ? ' The engine is invented: change its numbers to those of yours.' : '';
    const { headers: all, speeds_rpm: run } = state.good.case;
    about.textContent = `${state.name}, ${all.length === 1 ? 'one header' : `${all.length} headers`}, ${run.length} speeds.${invented} ${state.kept ? 'Nothing leaves this browser.' : 'This browser keeps nothing of this page: save the file before you close it.'}`;
  };
  const showAll = (reason) => {
    files.refresh();
    const count = state.read.values?.header?.length ?? 1;
    if (reason === 'open') choice.header = choice.reference = 0;
    choice.header = Math.max(0, Math.min(choice.header, count - 1));
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
    bar.refresh();
    form.refresh();
    if (shown) {
      if (reason === 'open') hands.reset();
      else hands.refresh();
    }
    exporting.refresh(reason);
    computeSoon(reason === 'open' ? 0 : quietly);
    curves.refresh();
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
  onChange(['header', 'reference'], () => {
    for (const i of [choice.header, choice.reference]) choice.shown[i] = true;
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
  const kept = keptFor(given?.text ?? null);
  if (given) openCase(given.name, given.text, false);
  if (kept && kept.text !== given?.text) openCase(kept.name, kept.text, false);
  else if (!given) openCase(examples[1][0], examples[1][2], false);
}

// Where the browser keeps nothing, closing the page would lose what was typed.
addEventListener('beforeunload', (event) => {
  if (!state.kept && state.text !== state.saved) event.preventDefault();
});

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
