// The page, from top to bottom.
import './page.css';
import { make, foreign, oneOf } from './dom.js';
import { refreshCharts, setPaperWidth } from './chart.js';
import { choice, choose, onChange } from './choice.js';
import { onSystemTheme, setPrinting, theme } from './colours.js';
import { summarySection } from './summary.js';
import { atSpeedSection } from './at_speed.js';
import { selectionBar } from './selection.js';
import { detailsSection } from './details.js';
import { dynoSection } from './dyno.js';
import { drawingSection } from './drawing.js';
import { interferenceSection } from './interference.js';
import { overSpeedSection } from './over_speed.js';
import { paperFields } from './paper_fields.js';
import { pulsesSection } from './pulses.js';
import { soundSection } from './sound.js';
import { sheetsSection } from './sheets.js';
import { waveSection } from './wave_diagram.js';
import { headers, rpm, speeds, study } from './study.js';

const paperWidth = 687; // CSS px between the margins of A4, 210 - 2 14 mm

const links = [
  ['summary', 'Summary'],
  ['over-speed', 'Over speed'],
  ['sound', 'Sound'],
  ['at-speed', 'Crank angle'],
  ['pulses', 'Pulses'],
  ['wave-diagram', 'Waves'],
  ['interference', 'Interference'],
  ['drawing', 'Drawing'],
  ...(study.dyno ? [['dyno', 'Dyno']] : []),
  ['details', 'Details'],
  ['sheets', 'Sheets'],
];

function pageHead() {
  const units = oneOf('Units', [['metric', 'Metric'], ['inch', 'Inch']], () => choice.units, (value) => choose({ units: value }));
  const appearance = oneOf(
    'Theme',
    [['auto', 'Auto'], ['light', 'Light'], ['dark', 'Dark']],
    () => choice.theme,
    (value) => choose({ theme: value })
  );
  const fields = paperFields();
  onChange(['units'], () => units.refresh());
  onChange(['theme'], () => appearance.refresh());
  const count = headers.length === 1 ? 'one header' : `${headers.length} headers`;
  return make(
    'header',
    {},
    make('p', { class: 'kind' }, 'Header comparison'),
    make('h1', {}, foreign(study.title)),
    make(
      'p',
      { class: 'quiet' },
      `${count}, ${speeds.length === 1 ? rpm(0) : `${speeds.length} speeds from ${rpm(0)} to ${rpm(speeds.length - 1)}`}`,
      study.invented ? '. The engine is invented.' : '.'
    ),
    make('div', { class: 'controls top' }, units, appearance, fields.editor),
    fields.printed
  );
}

function showTheme() {
  document.documentElement.dataset.theme = theme();
}

function build() {
  showTheme();
  onChange(['theme'], showTheme); // before all other listeners, which read the colours
  const body = [
    make('a', { class: 'skip', href: '#summary' }, 'Skip to the summary'),
    pageHead(),
    make('nav', { 'aria-label': 'Sections' }, make('ul', {}, links.map(([id, text]) => make('li', {}, make('a', { href: `#${id}` }, text))))),
    make(
      'main',
      {},
      summarySection(),
      overSpeedSection(),
      soundSection(),
      make(
        'section',
        { id: 'one-header', 'aria-labelledby': 'one-header-title' },
        make('h2', { id: 'one-header-title' }, 'One header in detail'),
        selectionBar(),
        atSpeedSection(),
        pulsesSection(),
        waveSection(),
        interferenceSection(),
        drawingSection()
      ),
      ...[dynoSection()].filter((section) => section !== null),
      detailsSection(),
      sheetsSection()
    ),
    make('footer', {}, make('p', { class: 'quiet small' }, `Made by pulsewright ${study.program_version} from a simulation. A prediction, not a guarantee.`)),
  ];
  document.body.append(...body);
  onChange(['theme'], refreshCharts); // after all others: swatches and legends exist by then
}

function repaint() {
  // The listeners of the theme redraw everything that depends on colours.
  const { theme: chosen } = choice;
  choice.theme = '';
  choose({ theme: chosen });
}

function printed(on) {
  setPrinting(on);
  document.documentElement.classList.toggle('paper', on);
  repaint();
  setPaperWidth(on ? paperWidth : null);
}

build();
onSystemTheme(repaint);
addEventListener('beforeprint', () => printed(true));
addEventListener('afterprint', () => printed(false));
