// What goes out of the page, by a click of its user alone: the case file, the numbers as a table, the
// sheets on paper, the page itself, and the command that repeats the study with all its margins.
import { withCase } from '../../../report/page/src/case_in_page.js';
import { make } from '../../../report/page/src/dom.js';
import { choice, onChange } from '../../../report/page/src/choice.js';
import { headers, speeds, study } from '../../../report/page/src/study.js';
import { unit } from '../../../report/page/src/units.js';
import { state } from './case_state.js';

// This page as it was written: all that stands before the end of its last script, which is this one. Its
// first lines are those by which the program knows its pages; the reader of HTML drops a line feed there.
const end = '</script>';
const read = document.documentElement.outerHTML.replace('><head>', '>\n<head>');
const asWritten = `<!doctype html>\n${read.slice(0, read.lastIndexOf(end))}${end}\n</body>\n</html>\n`;

// The same page, opening with the case as it is now.
const pageText = () => withCase(asWritten, state.name, state.text);

function save(name, type, text) {
  const url = URL.createObjectURL(new Blob([text], { type }));
  make('a', { href: url, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(url), 10000);
}

const stemOf = (name) => name.replace(/[.]toml$/, '');

let saves = 0;
let lastName = null; // under which it was saved last

// Every save has a name of its own, so that no browser makes up one ("x (1).toml").
export function saveCase() {
  saves += 1;
  const stem = stemOf(state.name);
  lastName = saves === 1 ? `${stem}.toml` : `${stem}-${saves}.toml`;
  save(lastName, 'application/toml', state.text);
  state.saved = state.text;
  followers.forEach((follower) => follower());
}
const followers = [];

const quoted = (text) => (/[",\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);

// A row for every header and speed that is computed, in the units shown.
function tableText() {
  const columns = study.curve_charts.map(({ figure, unit: kind }) => ({ figure, ...unit(kind) }));
  const rows = [['header', 'speed_rpm', 'cells_mm', 'counts', ...columns.map(({ figure, name }) => `${figure} [${name}]`)]];
  headers.forEach((header) =>
    speeds.forEach((speed, s) => {
      const point = header.points[s];
      if (!point.cell_size) return;
      const fault = header.figures.excluded.find((one) => one.speed_rpm === speed)?.fault;
      const value = ({ figure, factor }) => {
        const curve = header.curves[figure];
        const at = curve.value[s] ?? curve.coarse?.[s];
        return at === null || at === undefined ? '' : String(Number((at * factor).toPrecision(7)));
      };
      rows.push([header.name, String(speed), (1000 * point.cell_size).toFixed(2), fault ?? 'yes', ...columns.map(value)]);
    })
  );
  return rows.map((row) => `${row.map(quoted).join(',')}\n`).join('');
}

function inShell(name) {
  const safe = name.startsWith('-') ? `./${name}` : name; // no option
  return /^[./\w+-]+$/.test(safe) ? safe : `'${safe.replaceAll("'", String.raw`'\''`)}'`;
}

// What repeats the study of all headers on a machine with the program, with the file saved last.
export function command() {
  const name = lastName ?? state.name;
  const stem = stemOf(name);
  return `pulsewright compare ${inShell(name)} -o ${inShell(`${stem}.h5`)} --report ${inShell(`${stem}.html`)}`;
}

function printSheets() {
  document.documentElement.classList.add('sheets-only');
  addEventListener('afterprint', () => document.documentElement.classList.remove('sheets-only'), { once: true });
  print();
}

export function exportSection() {
  const line = make('code', { id: 'command' });
  const copied = make('span', { class: 'quiet', role: 'status' });
  const copy = async () => {
    try {
      await navigator.clipboard.writeText(command());
      copied.textContent = 'Copied.';
    } catch {
      getSelection().selectAllChildren(line);
      copied.textContent = 'Marked: copy it with the keyboard or the menu.';
    }
  };
  const section = make(
    'section',
    { id: 'export', 'aria-labelledby': 'export-title' },
    make('h2', { id: 'export-title' }, 'Save and export'),
    make(
      'div',
      { class: 'buttons' },
      make('button', { type: 'button', id: 'save-case', onclick: saveCase }, 'Save the case file'),
      make('button', { type: 'button', id: 'save-table', onclick: () => save(`${stemOf(state.name)}.csv`, 'text/csv', tableText()) }, 'Save the figures as a table (CSV)'),
      make('button', { type: 'button', id: 'save-page', onclick: () => save(`${stemOf(state.name)}.html`, 'text/html', pageText()) }, 'Save this page with the case in it (HTML)'),
      make('button', { type: 'button', id: 'print-sheets', onclick: printSheets }, 'Print the sheets')
    ),
    make('p', {}, 'The case file is all there is to keep: this page and the program open the same file. The page with the case in it is for somebody who has neither: it opens with these headers, and computes them again. The verdict with all its margins, wave diagrams and the report of the study come from the program, with the saved file in its folder:'),
    make('p', { class: 'command' }, line, ' ', make('button', { type: 'button', id: 'copy-command', onclick: copy }, 'Copy'), ' ', copied)
  );
  section.refresh = (reason) => {
    if (reason === 'open') {
      saves = 0;
      lastName = null;
    }
    line.textContent = command();
    copied.textContent = '';
  };
  onChange(['headers'], section.refresh);
  followers.push(section.refresh);
  return section;
}
