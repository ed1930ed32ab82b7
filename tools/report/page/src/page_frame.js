// The frame of a page, of comparisons, of searches and of the live page: the choice of units and theme, the foot, and
// what a change of the theme and printing draw anew.
import { make, oneOf } from './dom.js';
import { refreshCharts, setPaperWidth } from './chart.js';
import { choice, choose, onChange } from './choice.js';
import { onSystemTheme, setPrinting, theme } from './colours.js';
import { study } from './study.js';

const paperWidth = 687; // CSS px between the margins of A4, 210 - 2 14 mm

// The controls of the head, units and theme, and behind them those of the page.
export function topControls(...more) {
  const units = oneOf('Units', [['metric', 'Metric'], ['inch', 'Inch']], () => choice.units, (value) => choose({ units: value }));
  const appearance = oneOf(
    'Theme',
    [['auto', 'Auto'], ['light', 'Light'], ['dark', 'Dark']],
    () => choice.theme,
    (value) => choose({ theme: value })
  );
  onChange(['units'], () => units.refresh());
  onChange(['theme'], () => appearance.refresh());
  return make('div', { class: 'controls top' }, units, appearance, ...more);
}

function showTheme() {
  document.documentElement.dataset.theme = theme();
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

// Shows what build() gives, from top to bottom, between the link past its head, to the part with that
// id, and the foot.
export function showPage(build, first = { id: 'summary', title: 'summary' }) {
  showTheme();
  onChange(['theme'], showTheme); // before all other listeners, which read the colours
  document.body.append(
    make('a', { class: 'skip', href: `#${first.id}` }, `Skip to the ${first.title}`),
    ...build(),
    make('footer', {}, make('p', { class: 'quiet small' }, `Made by pulsewright ${study.program_version} from a simulation. A prediction, not a guarantee.`))
  );
  onChange(['theme'], refreshCharts); // after all others: swatches and legends exist by then
  onSystemTheme(repaint);
  addEventListener('beforeprint', () => printed(true));
  addEventListener('afterprint', () => printed(false));
}
