// The answer first: sentences and the table of headers.
import { make, foreign, scrollFrame } from './dom.js';
import { choice, onChange } from './choice.js';
import { headers, study } from './study.js';
import { plain, shown, signed, unit, withUnit } from './units.js';
import { swatch } from './swatch.js';

// A number and its unit stay on one line.
function bound(text) {
  return text.replace(/([\d.]) (N m|lb ft|kPa|psi|rpm|mm|in)\b/g, (_, digit, name) => `${digit}\u00a0${name.replace(' ', '\u00a0')}`);
}

const symbols = { ahead: '▲', behind: '▼', 'too close to call': '≈' };

export function verdictMark(verdict) {
  return make(
    'span',
    { class: `verdict ${verdict.split(' ')[0]}` },
    make('span', { 'aria-hidden': 'true', class: 'symbol' }, symbols[verdict]),
    ` ${verdict}`
  );
}

function difference(header) {
  if (!header.pair) return [make('span', { class: 'quiet' }, 'reference')];
  const { value, resolution, verdict } = header.pair.torque;
  return [
    make('span', { class: 'number' }, `${signed(value, 'torque')} ± ${shown(resolution, 'torque')}`),
    make('br'),
    verdictMark(verdict),
  ];
}

function conceptTable() {
  const head = (text, second) =>
    make('th', { scope: 'col' }, text, second ? make('span', { class: 'unit' }, second) : null);
  const f = (header) => header.figures;
  return scrollFrame(
    'Headers in numbers',
    make(
      'table',
      { id: 'header-table' },
      make(
        'caption',
        {},
        `Means over ${plain(study.band_rpm[0], 0)} to ${plain(study.band_rpm[1], 0)} rpm, peaks over all speeds`
      ),
      make(
        'thead',
        {},
        make(
          'tr',
          {},
          head('Header'),
          head('Mean torque', unit('torque').name),
          head('Against the first', unit('torque').name),
          head('Peak torque', `${unit('torque').name} at rpm`),
          head('Peak power', `${unit('power').name} at rpm`),
          head('Vol. efficiency', '% (spread)'),
          head('Residual', '%'),
          head('Overlap', `${unit('pressure').name} gauge (spread)`),
          head('Depression', `${unit('pressure').name} at deg`)
        )
      ),
      make(
        'tbody',
        {},
        headers.map((header, i) =>
          make(
            'tr',
            { 'data-header': header.name },
            make('th', { scope: 'row' }, swatch(i), foreign(header.name)),
            make('td', {}, shown(f(header).band_torque, 'torque')),
            make('td', {}, difference(header)),
            make('td', {}, `${shown(f(header).peak_torque, 'torque')} at ${plain(f(header).peak_torque_rpm, 0)}`),
            make('td', {}, `${shown(f(header).peak_power, 'power')} at ${plain(f(header).peak_power_rpm, 0)}`),
            make(
              'td',
              {},
              `${shown(f(header).volumetric_efficiency, 'percent', 1)} (${shown(f(header).efficiency_spread, 'percent', 1)})`
            ),
            make('td', {}, shown(f(header).residual_fraction, 'percent')),
            make(
              'td',
              {},
              `${signed(f(header).overlap_pressure, 'pressure')} (${shown(f(header).overlap_spread, 'pressure')})`
            ),
            make(
              'td',
              {},
              `${signed(f(header).depression, 'pressure')} at ${plain(f(header).depression_angle, 0)}`
            )
          )
        )
      )
    )
  );
}

// What can be said of each rival at single speeds, where the mean hides it.
function singleSpeeds() {
  const rivals = headers.filter((header) => header.pair);
  if (rivals.length === 0) return null;
  return make(
    'ul',
    { class: 'single quiet' },
    rivals.map((header, i) => make('li', {}, foreign(header.name), `: ${bound(study.words[choice.units].pairs[i].single_speeds)}`))
  );
}

function warnings() {
  const faults = headers.flatMap((header) => header.figures.faults);
  if (faults.length === 0) return null;
  return make(
    'div',
    { class: 'warning', role: 'note' },
    make('strong', {}, 'Not everything came out well'),
    make('ul', {}, faults.map((text) => make('li', {}, foreign(text))))
  );
}

// Where the resolution of each difference comes from.
function resolutionList() {
  const rivals = headers.filter((header) => header.pair);
  if (rivals.length === 0) return null;
  return make(
    'details',
    { class: 'numbers' },
    make('summary', {}, 'What ± is made of'),
    make(
      'p',
      {},
      'A difference counts only if it is larger than ±: the error of the grid, the scatter from cycle to cycle, ' +
        `what ${withUnit(study.build_tolerance, 'length', choice.units === 'metric' ? 1 : 2)} of build error makes, and the spread ` +
        'between models of the merge, as root of the sum of squares.'
    ),
    make(
      'ul',
      {},
      rivals.map((header, i) =>
        make('li', {}, foreign(header.name), `: ${study.words[choice.units].pairs[i].sources} ${unit('torque').name}`)
      )
    )
  );
}

export function answerSection() {
  const body = make('div');
  const build = () => {
    const [first, ...others] = study.words[choice.units].answer;
    body.replaceChildren(
      ...[
        make('p', { class: 'lead', id: 'answer' }, foreign(bound(first))),
        others.length > 0 ? make('p', { class: 'rest' }, foreign(bound(others.join(' ')))) : null,
        singleSpeeds(),
        warnings(),
        conceptTable(),
        make(
          'p',
          { class: 'quiet small' },
          'Torque decides; the pressures explain. Overlap: mean pressure at the exhaust valve while both valves are open. ' +
            'Spread: between best and worst cylinder. Depression: lowest pressure there; 360 deg is top centre.'
        ),
        resolutionList(),
      ].filter(Boolean)
    );
  };
  build();
  onChange(['units', 'theme'], build);
  return make('section', { id: 'the-answer', 'aria-labelledby': 'answer-title' },
    make('h2', { id: 'answer-title' }, 'The answer'), body);
}
