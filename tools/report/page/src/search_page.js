// The page of a search (sweep, tune, tolerance), from top to bottom. Its data are the findings of
// tools/search, beside what every page has: units, speeds, band.
import './page.css';
import { make, foreign, oneOf } from './dom.js';
import { refreshCharts, setPaperWidth } from './chart.js';
import { choice, choose, onChange } from './choice.js';
import { onSystemTheme, setPrinting, theme } from './colours.js';
import { study } from './study.js';
import { sweepSections } from './search_sweep.js';
import { toleranceSections } from './search_tolerance.js';
import { tuneSections } from './search_tune.js';

const paperWidth = 687; // CSS px between the margins of A4, 210 - 2 14 mm

const kinds = {
  sweep: { title: 'Sweep', sections: sweepSections },
  tune: { title: 'Tune', sections: tuneSections },
  tolerance: { title: 'Tolerance', sections: toleranceSections },
};

function words() {
  const box = make('div', { class: 'words' });
  const fill = () => box.replaceChildren(...study.words[choice.units].split('\n').map((line) => make('p', {}, foreign(line))));
  fill();
  onChange(['units'], fill);
  return make('section', { id: 'summary', 'aria-labelledby': 'summary-title' }, make('h2', { id: 'summary-title' }, 'Summary'), box);
}

function pageHead() {
  const units = oneOf('Units', [['metric', 'Metric'], ['inch', 'Inch']], () => choice.units, (value) => choose({ units: value }));
  const appearance = oneOf('Theme', [['auto', 'Auto'], ['light', 'Light'], ['dark', 'Dark']], () => choice.theme, (value) => choose({ theme: value }));
  onChange(['units'], () => units.refresh());
  onChange(['theme'], () => appearance.refresh());
  const [from, to] = study.band_rpm.map(Math.round);
  return make(
    'header',
    {},
    make('p', { class: 'kind' }, kinds[study.verb].title),
    make('h1', {}, foreign(study.title)),
    make('p', { class: 'quiet' }, 'Header ', foreign(study.header), `, ${study.speeds.length} speeds, band ${from} to ${to} rpm`, study.invented ? '. The engine is invented.' : '.'),
    make('div', { class: 'controls top' }, units, appearance)
  );
}

function showTheme() {
  document.documentElement.dataset.theme = theme();
}

function repaint() {
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

showTheme();
onChange(['theme'], showTheme); // before all other listeners, which read the colours
document.body.append(
  make('a', { class: 'skip', href: '#summary' }, 'Skip to the summary'),
  pageHead(),
  make('main', {}, words(), ...kinds[study.verb].sections()),
  make('footer', {}, make('p', { class: 'quiet small' }, `Made by pulsewright ${study.program_version} from a simulation. A prediction, not a guarantee.`))
);
onChange(['theme'], refreshCharts);
onSystemTheme(repaint);
addEventListener('beforeprint', () => printed(true));
addEventListener('afterprint', () => printed(false));
