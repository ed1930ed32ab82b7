// Sheets that print on one page each, for the selected header: for the customer, and for the bench
// one for each bank and one with what is shared.
import { make, foreign, table } from './dom.js';
import { choice, onChange } from './choice.js';
import { lineColour, lineDash } from './colours.js';
import { faceView, sideView } from './drawing.js';
import { onFieldChange, sheetFields } from './paper_fields.js';
import { speedPlot } from './speed_plot.js';
import { evenly, faultAt, headers, pairOf, rpm, speeds, study } from './study.js';
import { verdictMark } from './summary.js';
import { swatch } from './swatch.js';
import { plain, shown, signed, unit } from './units.js';

const mostRows = 11; // of the customer's table, so that the sheet stays on its page

// One page of paper.
function sheet(kind, title, ...content) {
  return make(
    'section',
    { class: `sheet ${kind}`, 'aria-label': title },
    make('p', { class: 'kind' }, title),
    make('h3', {}, foreign(study.title), ': ', foreign(headers[choice.header].name)),
    sheetFields(),
    ...content
  );
}

// ---------------------------------------------------------------- the customer's

// What the header is compared with: the reference of the differences, or another one.
function compared() {
  if (choice.reference !== choice.header) return choice.reference;
  return headers.findIndex((_, i) => i !== choice.header);
}

// Values by speed; of coarse cells where the case's own are not computed yet.
function bestKnown(i, figure) {
  const { value, coarse } = headers[i].curves[figure];
  return value.map((v, s) => v ?? coarse?.[s] ?? null);
}

function curve(figure, other) {
  const kind = figure === 'torque' ? 'torque' : 'power';
  const { factor, name } = unit(kind);
  const lineOf = (i) => ({
    values: bestKnown(i, figure).map((v, s) => (v === null || faultAt(i, s) ? null : v * factor)),
    colour: lineColour(i),
    dash: lineDash(i),
  });
  const heading = figure === 'torque' ? 'Torque' : 'Power';
  const of = other < 0 ? [choice.header] : [choice.header, other];
  return speedPlot({
    name: heading,
    label: `${heading} over engine speed for ${of.map((i) => headers[i].name).join(' and ')}.`,
    unitName: name,
    lines: of.map(lineOf),
  });
}

function gainTable(other) {
  const pair = pairOf(choice.header, other);
  const name = unit('torque').name;
  const interval = pair.speeds.some(({ torque }) => torque.low !== null);
  const rows = evenly(speeds.length, mostRows).map((s) => {
    const own = bestKnown(choice.header, 'torque')[s];
    const wrong = faultAt(choice.header, s) ?? faultAt(other, s);
    const one = pair?.speeds.find(({ speed_rpm: at }) => Math.abs(at - speeds[s]) < 0.01);
    return [
      rpm(s),
      shown(own, 'torque'),
      shown(bestKnown(choice.header, 'power')[s], 'power'),
      one ? signed(one.torque.value, 'torque') : '–',
      ...(interval ? [one ? `${signed(one.torque.low, 'torque')} to ${signed(one.torque.high, 'torque')}` : (wrong ?? '–')] : []),
    ];
  });
  return table(
    'Gain and loss over speed',
    ['Speed', `Torque, ${name}`, `Power, ${unit('power').name}`, `Gain, ${name}${interval ? '' : ', provisional'}`, ...(interval ? ['Between'] : [])],
    rows,
    { 'data-numbers': 'customer' }
  );
}

function verdictLine(other) {
  const { torque, verdict } = pairOf(choice.header, other);
  const [from, to] = study.band_rpm.map((at) => plain(at, 0));
  return make(
    'p',
    { class: 'sheet-verdict' },
    `Over ${from} to ${to} rpm against `,
    foreign(headers[other].name),
    `: ${signed(torque.value, 'torque')}${torque.low === null ? (torque.margin ? ` ± ${shown(torque.margin, 'torque')}` : '') : ` (${signed(torque.low, 'torque')} to ${signed(torque.high, 'torque')})`} ${unit('torque').name}, `,
    verdictMark(verdict),
    torque.low === null ? ': without what merge model, gas temperature and build leave open' : null
  );
}

function customerSheet() {
  const other = compared();
  const header = headers[choice.header];
  return sheet(
    'customer',
    'For the customer',
    other < 0 ? null : verdictLine(other),
    make('div', { class: 'sheet-plots' }, curve('torque', other), curve('power', other)),
    other < 0
      ? null
      : make(
          'p',
          { class: 'quiet small' },
          swatch(choice.header),
          foreign(header.name),
          '; ',
          swatch(other),
          'for comparison, ',
          foreign(headers[other].name),
          `; shaded, the speeds that count. Gain: torque more than the other gives; ${pairOf(choice.header, other).torque.low === null ? 'provisional, without the margins of a full comparison' : 'it may lie anywhere between the two numbers beside it'}. Points that do not count are left out.`
        ),
    other < 0 ? null : gainTable(other),
    header.drawing ? sideView(header, 'sheet-drawing') : null,
    make('p', { class: 'quiet small' }, study.words.cautions.join(' '))
  );
}

// ---------------------------------------------------------------- the bench's

const text = (both) => both[choice.units];

// Words in which no size as 10-9/16 is divided between two lines.
const unbroken = (words) =>
  make('span', {}, words.split(/(\d+-\d+\/\d+)/).map((part, k) => (k % 2 === 1 ? make('span', { class: 'unbroken' }, part) : part)));

function tubeRows(tube) {
  const pieces = tube.pieces.map((piece) => make('li', {}, unbroken(text(piece.words))));
  const steps = tube.steps.map((step) => make('li', {}, unbroken(`from ${text(step.at)} on: ${text(step.tube)}`)));
  const place = tube.clock === null ? tube.collector : `${tube.collector}, ${tube.clock}`;
  const sum = tube.has_path ? `${text(tube.made)} in all` : '';
  return [
    foreign(tube.name),
    unbroken(text(tube.tube)),
    unbroken(text(tube.length)),
    place,
    make(tube.has_path ? 'ol' : 'ul', { class: 'pieces' }, pieces, steps, sum ? make('li', { class: 'sum' }, unbroken(sum)) : null),
    '☐',
  ];
}

function tubesTable(label, tubes) {
  return table(label, ['Tube', 'Size', 'Centreline', 'Collector, o’clock', 'Pieces', 'Cut'], tubes.map(tubeRows), { class: 'bench-tubes' });
}

// A merge belongs to a bank if one of the bank's cylinders is in it.
function facesOf(header, page) {
  const cylinders = page.tubes.map(({ name }) => Number(name.replace('cylinder ', '')));
  return (header.drawing?.faces ?? []).filter((face) => face.cylinders.some((n) => cylinders.includes(n)));
}

function bankSheet(header, page) {
  const { tolerance } = header.cut_sheet;
  const title = `For the bench: bank ${page.bank}`;
  const faces = facesOf(header, page);
  return sheet(
    'bench',
    title,
    make(
      'p',
      { class: 'small' },
      `Lengths along the centreline, from the flange to where the tubes first meet; every primary within ${text(tolerance)}. Rotations are against the bend before, seen along the tube with the gas.`
    ),
    tubesTable(title, page.tubes),
    faces.length > 0 ? make('div', { class: 'faces' }, faces.map((face) => faceView(face, 'sheet-face'))) : null
  );
}

function sharedSheet(header) {
  const { secondaries, collectors, shared_tail: sharedTail, order, remarks, cautions, cut_allowance: allowance } = header.cut_sheet;
  const list = (items, attributes = {}) => make('ul', attributes, items.map((item) => make('li', {}, unbroken(item))));
  return sheet(
    'bench',
    'For the bench: collectors and order',
    secondaries.length > 0 ? tubesTable('Secondaries', secondaries) : null,
    collectors.length > 0 ? list([...collectors, sharedTail].filter(Boolean).map(({ words }) => text(words))) : null,
    make('h4', {}, unbroken(`To order, with ${text(allowance)} for each cut`)),
    list(
      [
        ...order.tubes.map(({ tube, length }) => `straight ${text(tube)}: ${text(length)}`),
        ...order.bends.map(({ tube, angle, radius, count }) => `bends ${text(tube)}, ${plain(angle, 0)} deg on ${text(radius)} radius: ${count}`),
      ],
      { class: 'order' }
    ),
    remarks.length > 0 ? make('div', { class: 'warning' }, make('strong', {}, 'To be looked at'), list(remarks)) : null,
    make('h4', {}, 'Before you begin'),
    list(cautions)
  );
}

function benchSheets() {
  const header = headers[choice.header];
  const { cut_sheet: cut } = header;
  if (!cut) return [];
  if (cut.error) return [sheet('bench', 'For the bench', make('p', {}, 'No cutting sheet: ', foreign(cut.error)))];
  return [...cut.pages.map((page) => bankSheet(header, page)), sharedSheet(header)];
}

// More sheets come from others: functions that give the sheets of the selected header.
export function sheetsSection(more = []) {
  const body = make('div', { class: 'sheets' });
  const refresh = () => body.replaceChildren(customerSheet(), ...benchSheets(), ...more.flatMap((sheets) => sheets()));
  refresh();
  onChange(['header', 'reference', 'units', 'theme', 'points', 'headers'], refresh);
  onFieldChange(refresh);
  return make(
    'section',
    { id: 'sheets', 'aria-labelledby': 'sheets-title' },
    make('h2', { id: 'sheets-title' }, 'Sheets for the wall'),
    make('p', { class: 'quiet small screen-only' }, 'Of the header that is selected above; each prints on a page of its own. Customer, job and shop are filled in at the top of the page.'),
    body
  );
}
