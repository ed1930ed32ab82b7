// The page, from top to bottom.
import './page.css';
import { make, foreign } from './dom.js';
import { summarySection } from './summary.js';
import { atSpeedSection } from './at_speed.js';
import { selectionBar } from './selection.js';
import { detailsSection } from './details.js';
import { dynoSection } from './dyno.js';
import { drawingSection } from './drawing.js';
import { interferenceSection } from './interference.js';
import { liveButton } from './live_button.js';
import { overSpeedSection } from './over_speed.js';
import { showPage, topControls } from './page_frame.js';
import { paperFields } from './paper_fields.js';
import { pulsesSection } from './pulses.js';
import { soundSection } from './sound.js';
import { sheetsSection } from './sheets.js';
import { waveSection } from './wave_diagram.js';
import { headers, rpm, speeds, study } from './study.js';

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
  const fields = paperFields();
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
    topControls(liveButton(), fields.editor),
    fields.printed
  );
}

showPage(() => [
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
]);
