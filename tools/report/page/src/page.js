// The page, from top to bottom.
import './page.css';
import { make, foreign, oneOf } from './dom.js';
import { refreshCharts, setPaperWidth } from './chart.js';
import { choice, choose, onChange } from './choice.js';
import { onSystemTheme, setPrinting, theme } from './colours.js';
import { answerSection } from './answer.js';
import { atSpeedSection } from './at_speed.js';
import { closerBar } from './closer.js';
import { detailsSection } from './details.js';
import { drawingSection } from './drawing.js';
import { interferenceSection } from './interference.js';
import { overSpeedSection } from './over_speed.js';
import { pulsesSection } from './pulses.js';
import { waveSection } from './wave_diagram.js';
import { headers, rpm, speeds, study } from './study.js';

const paperWidth = 680; // CSS px between the margins of A4

const links = [
  ['the-answer', 'Answer'],
  ['over-speed', 'Over speed'],
  ['at-speed', 'Crank angle'],
  ['pulses', 'Pulses'],
  ['wave-diagram', 'Waves'],
  ['interference', 'Whose pulse'],
  ['drawing', 'Drawing'],
  ['details', 'Details'],
];

function pageHead() {
  const units = oneOf('Units', [['metric', 'Metric'], ['inch', 'Inch']], () => choice.units, (value) => choose({ units: value }));
  const look = oneOf(
    'Look',
    [['auto', 'Auto'], ['light', 'Light'], ['dark', 'Dark']],
    () => choice.theme,
    (value) => choose({ theme: value })
  );
  onChange(['units'], () => units.refresh());
  onChange(['theme'], () => look.refresh());
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
    make('div', { class: 'controls top' }, units, look)
  );
}

function showTheme() {
  document.documentElement.dataset.theme = theme();
}

function build() {
  showTheme();
  onChange(['theme'], showTheme); // first of all: what follows reads the colours
  const body = [
    make('a', { class: 'skip', href: '#the-answer' }, 'Skip to the answer'),
    pageHead(),
    make('nav', { 'aria-label': 'Parts of the page' }, make('ul', {}, links.map(([id, text]) => make('li', {}, make('a', { href: `#${id}` }, text))))),
    make(
      'main',
      {},
      answerSection(),
      overSpeedSection(),
      make(
        'section',
        { id: 'closer', 'aria-labelledby': 'closer-title' },
        make('h2', { id: 'closer-title' }, 'A closer look'),
        closerBar(),
        atSpeedSection(),
        pulsesSection(),
        waveSection(),
        interferenceSection(),
        drawingSection()
      ),
      detailsSection()
    ),
    make('footer', {}, make('p', { class: 'quiet small' }, `Made by pulsewright ${study.program_version} from a simulation. A prediction, not a guarantee.`)),
  ];
  document.body.append(...body);
  onChange(['theme'], refreshCharts); // last of all: swatches and legends stand already
}

function repaint() {
  // Listeners of the theme redraw what holds colours.
  const { theme: wanted } = choice;
  choice.theme = '';
  choose({ theme: wanted });
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
