// The page of a search (sweep, tune, tolerance), from top to bottom. Its data are the findings of
// tools/search, beside what every page has: units, speeds, band.
import './page.css';
import { make, foreign } from './dom.js';
import { choice, onChange } from './choice.js';
import { liveButton } from './live_button.js';
import { showPage, topControls } from './page_frame.js';
import { study } from './study.js';
import { sweepSections } from './search_sweep.js';
import { toleranceSections } from './search_tolerance.js';
import { tuneSections } from './search_tune.js';

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
  const [from, to] = study.band_rpm.map(Math.round);
  return make(
    'header',
    {},
    make('p', { class: 'kind' }, kinds[study.verb].title),
    make('h1', {}, foreign(study.title)),
    make('p', { class: 'quiet' }, 'Header ', foreign(study.header), `, ${study.speeds.length} speeds, band ${from} to ${to} rpm`, study.invented ? '. The engine is invented.' : '.'),
    topControls(liveButton())
  );
}

showPage(() => [pageHead(), make('main', {}, words(), ...kinds[study.verb].sections())]);
