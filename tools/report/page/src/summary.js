// The summary: the verdicts in words and the table of headers.
import { make, foreign, scrollFrame } from './dom.js';
import { choice, onChange } from './choice.js';
import { headers, study } from './study.js';
import { plain, shown, signed, unit, withUnit } from './units.js';
import { figureChart, headerChips } from './over_speed.js';
import { swatch } from './swatch.js';

// Keeps a number and its unit on one line.
function withoutBreaks(text) {
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
  const { value, margin, verdict } = header.pair.torque;
  return [
    make('span', { class: 'number' }, `${signed(value, 'torque')} ± ${shown(margin, 'torque')}`),
    make('br'),
    verdictMark(verdict),
  ];
}

// A mean over the band, and the best to the worst cylinder.
function bandMean(header, { figure, unit: kind, gauge, digits, spread }) {
  const { band } = header.figures;
  const mean = (gauge ? signed : shown)(band[figure], kind, digits ?? undefined);
  return spread ? `${mean} (${shown(band[`${figure}_spread`], kind, digits ?? undefined)})` : mean;
}

function headerTable() {
  const head = (text, second) =>
    make('th', { scope: 'col' }, text, second ? make('span', { class: 'unit' }, second) : null);
  const bandHead = (column) =>
    head(column.heading, `${unit(column.unit).name}${column.gauge ? ' gauge' : ''}${column.spread ? ' (best to worst)' : ''}`);
  const f = (header) => header.figures;
  const [first, ...rest] = study.band_columns;
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
          head('Difference from the first', unit('torque').name),
          bandHead(first),
          head('Peak torque', `${unit('torque').name} at rpm`),
          head('Peak power', `${unit('power').name} at rpm`),
          rest.map(bandHead)
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
            make('td', {}, difference(header)),
            make('td', {}, bandMean(header, first)),
            make('td', {}, `${shown(f(header).peak_torque, 'torque')} at ${plain(f(header).peak_torque_rpm, 0)}`),
            make('td', {}, `${shown(f(header).peak_power, 'power')} at ${plain(f(header).peak_power_rpm, 0)}`),
            rest.map((column) => make('td', {}, bandMean(header, column)))
          )
        )
      )
    )
  );
}

// The largest differences of each header at single speeds, which the mean does not show.
function singleSpeeds() {
  const compared = headers.filter((header) => header.pair);
  if (compared.length === 0) return null;
  return make(
    'ul',
    { class: 'single quiet' },
    compared.map((header, i) => make('li', {}, foreign(header.name), `: ${withoutBreaks(study.words[choice.units].pairs[i].single_speeds)}`))
  );
}

function warnings() {
  const faults = headers.flatMap((header) => header.figures.faults);
  if (faults.length === 0) return null;
  return make(
    'div',
    { class: 'warning', role: 'note' },
    make('strong', {}, 'Points with problems'),
    make('ul', {}, faults.map((text) => make('li', {}, foreign(text))))
  );
}

// The contributions to plus or minus of each difference.
function marginList() {
  const compared = headers.filter((header) => header.pair);
  if (compared.length === 0) return null;
  return make(
    'details',
    { class: 'numbers' },
    make('summary', {}, 'How ± is made up'),
    make(
      'p',
      {},
      'A difference counts only if it is larger than ±, the root of the sum of squares of the grid error, the cycle-to-cycle scatter, ' +
        `the effect of ${withUnit(study.build_tolerance, 'length', choice.units === 'metric' ? 1 : 2)} of build error, what the constants ` +
        'of the merge model leave open, and the effect of cooler exhaust gas.'
    ),
    make(
      'ul',
      {},
      compared.map((header, i) =>
        make('li', {}, foreign(header.name), `: ${study.words[choice.units].pairs[i].contributions} ${unit('torque').name}`)
      )
    )
  );
}

export function summarySection() {
  const headline = make('p', { class: 'lead', id: 'headline' });
  const figures = make('div', { class: 'grid' }, figureChart(study.curve_charts.find(({ figure }) => figure === 'torque'), 300));
  const body = make('div');
  const build = () => {
    const [first, ...others] = study.words[choice.units].summary;
    headline.replaceChildren(foreign(withoutBreaks(first)));
    body.replaceChildren(
      ...[
        study.notes ? make('p', { id: 'notes' }, foreign(study.notes)) : null,
        others.length > 0 ? make('p', { class: 'rest' }, foreign(withoutBreaks(others.join(' ')))) : null,
        singleSpeeds(),
        warnings(),
        headerTable(),
        make(
          'p',
          { class: 'quiet small' },
          'Headers are ranked by torque; the pressures explain it. During overlap: mean pressure at the exhaust valve while both valves are open. ' +
            'Best to worst: difference between the best and the worst cylinder. Peak suction: lowest pressure at the exhaust valve; 360 deg is top dead centre.'
        ),
        marginList(),
      ].filter(Boolean)
    );
  };
  build();
  onChange(['units', 'theme'], build);
  return make('section', { id: 'summary', 'aria-labelledby': 'summary-title' },
    make('h2', { id: 'summary-title' }, 'Summary'), headline, figures, headerChips(), body);
}
