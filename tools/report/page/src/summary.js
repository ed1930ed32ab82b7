// The summary: the verdicts in words and the table of headers.
import { make, foreign, scrollFrame } from './dom.js';
import { choice, onChange } from './choice.js';
import { best, headers, pairOf, ranking, study } from './study.js';
import { plain, shown, signed, unit, withUnit } from './units.js';
import { differenceChart, figureChart, headerChips } from './over_speed.js';
import { swatch } from './swatch.js';

// Keeps a number and its unit on one line.
function withoutBreaks(text) {
  return text.replace(/([\d.]) (N m|lb ft|kPa|psi|rpm|mm|in)\b/g, (_, digit, name) => `${digit}\u00a0${name.replace(' ', '\u00a0')}`);
}

const symbols = { ahead: '▲', 'probably ahead': '△', 'too close to call': '≈', 'probably behind': '▽', behind: '▼' };

export function verdictMark(verdict) {
  return make(
    'span',
    { class: `verdict ${verdict.replaceAll(' ', '-')}` },
    make('span', { 'aria-hidden': 'true', class: 'symbol' }, symbols[verdict] ?? ''),
    symbols[verdict] ? ` ${verdict}` : 'provisional'
  );
}

// A header against the best one.
function difference(i) {
  if (i === best) return [make('span', { class: 'number' }, headers.length > 1 ? 'most torque' : '–')];
  const { torque, verdict } = pairOf(i, best);
  return [
    make('span', { class: 'number' }, signed(torque.value, 'torque')),
    ` (${signed(torque.low, 'torque')} to ${signed(torque.high, 'torque')})`,
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

function head(text, second) {
  return make('th', { scope: 'col' }, text, second ? make('span', { class: 'unit' }, second) : null);
}

// A table with a row per header, in the order of the ranking; columns of { head, cell(header, i) }.
function rankedTable(id, label, caption, columns) {
  return scrollFrame(
    label,
    make(
      'table',
      { id, class: 'ranked' },
      make('caption', {}, caption),
      make('thead', {}, make('tr', {}, head('Header'), columns.map((column) => column.head))),
      make(
        'tbody',
        {},
        ranking.map((i) =>
          make(
            'tr',
            { 'data-header': headers[i].name },
            make('th', { scope: 'row' }, swatch(i), foreign(headers[i].name)),
            columns.map(({ cell }) => make('td', {}, cell(headers[i], i)))
          )
        )
      )
    )
  );
}

function band() {
  return `${plain(study.band_rpm[0], 0)} to ${plain(study.band_rpm[1], 0)} rpm`;
}

function headerTable() {
  const [torque, power] = [unit('torque').name, unit('power').name];
  const dip = ({ depth, speed_rpm: at }) => (depth > 0 ? `${shown(depth, 'torque')} at ${plain(at, 0)}` : '–');
  const f = (header) => header.figures;
  return rankedTable('header-table', 'Ranking', `Ranking by mean torque over ${band()}; peaks over all speeds`, [
    { head: head(['Difference from ', foreign(headers[best].name)], `${torque} (interval)`), cell: (_, i) => difference(i) },
    { head: head('Mean torque', torque), cell: (header) => shown(f(header).band.torque, 'torque') },
    { head: head('Mean power', power), cell: (header) => shown(f(header).band.power, 'power') },
    { head: head('Peak torque', `${torque} at rpm`), cell: (header) => `${shown(f(header).peak_torque, 'torque')} at ${plain(f(header).peak_torque_rpm, 0)}` },
    { head: head('Peak power', `${power} at rpm`), cell: (header) => `${shown(f(header).peak_power, 'power')} at ${plain(f(header).peak_power_rpm, 0)}` },
    { head: head('Worst dip', `${torque} at rpm`), cell: (header) => dip(f(header).dip) },
    { head: head(['Crosses ', foreign(headers[best].name)], 'at rpm'), cell: (_, i) => pairOf(i, best)?.crossings_rpm.map((rpm) => plain(rpm, 0)).join(', ') || '–' },
  ]);
}

// What each part of a header makes of its difference from the best one; null where nothing is split.
function splitTable() {
  const split = (i) => (i === best ? null : pairOf(i, best).split);
  const parts = study.header_parts.filter(({ part }) => ranking.some((i) => split(i)?.shares?.[part]));
  if (parts.length === 0) return null;
  const share = (found, part) => {
    if (!found?.shares) return '–';
    const { torque, low, high } = found.shares[part] ?? { torque: 0, low: 0, high: 0 };
    return low === high ? signed(torque, 'torque') : `${signed(torque, 'torque')} (${signed(low, 'torque')} to ${signed(high, 'torque')})`;
  };
  const rest = (found) => (found?.shares ? signed(found.rest, 'torque') : found?.obstacle ?? '–');
  return make(
    'div',
    {},
    rankedTable('split-table', 'What makes the difference', 'What makes the difference', [
      { head: head(['Difference from ', foreign(headers[best].name)], unit('torque').name), cell: (_, i) => (i === best ? '–' : signed(pairOf(i, best).torque.value, 'torque')) },
      ...parts.map(({ part, heading }) => ({ head: head(heading, unit('torque').name), cell: (_, i) => share(split(i), part) })),
      { head: head('Not split', unit('torque').name), cell: (_, i) => foreign(rest(split(i))) },
    ]),
    make('p', { class: 'quiet small' }, study.words.parts_explained.replace(/^./, (letter) => letter.toUpperCase()))
  );
}

// Filling and pressures, which explain the torque.
function airTable() {
  const [, ...columns] = study.band_columns;
  const unitText = ({ unit: kind, gauge, spread }) => `${unit(kind).name}${gauge ? ' gauge' : ''}${spread ? ' (best to worst)' : ''}`;
  return rankedTable(
    'air-table',
    'Filling and pressures',
    `Filling and pressures, means over ${band()}`,
    columns.map((column) => ({ head: head(column.heading, unitText(column)), cell: (header) => bandMean(header, column) }))
  );
}

// Words of a header against the best one.
function wordsOf(i) {
  return study.words[choice.units].pairs.find((pair) => pair.header === i && pair.other === best);
}

// The largest differences of each header at single speeds, which the mean does not show.
function singleSpeeds() {
  const judged = ranking.filter((i) => i !== best && pairOf(i, best).torque.complete);
  if (judged.length === 0) return null;
  return make(
    'ul',
    { class: 'single quiet' },
    judged.map((i) => make('li', {}, foreign(headers[i].name), ` against `, foreign(headers[best].name), `: ${withoutBreaks(wordsOf(i).single_speeds)}`))
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

// What the interval of each difference is made of, and how the verdict reads over other bands.
function intervalList() {
  const compared = ranking.filter((i) => i !== best);
  if (compared.length === 0) return null;
  return make(
    'details',
    { class: 'numbers' },
    make('summary', {}, 'How the intervals are made up'),
    make(
      'p',
      {},
      'An interval holds all that the constants of the merge model and the temperature of the gas leave open, widened by the root of the sum of squares of grid error, cycle-to-cycle scatter, ' +
        `what happens between the speeds that were run, and ${withUnit(study.build_tolerance, 'length', choice.units === 'metric' ? 1 : 2)} of build error. ` +
        'A header is ahead or behind only if its whole interval lies on one side of zero, by more than a dynamometer repeats (0.5 %).'
    ),
    make(
      'ul',
      {},
      compared.map((i) => {
        const { contributions, other_bands: others } = wordsOf(i);
        const judged = pairOf(i, best).torque.complete;
        return make('li', {}, foreign(headers[i].name), `: ${contributions} ${unit('torque').name}${judged ? `; ${withoutBreaks(others)}` : ''}`);
      })
    )
  );
}

// The table that `compare --csv` writes, in the chosen units.
function tableButton() {
  const save = () => {
    const url = URL.createObjectURL(new Blob([study.csv[choice.units]], { type: 'text/csv' }));
    make('a', { href: url, download: 'headers.csv' }).click();
    URL.revokeObjectURL(url);
  };
  return make('div', { class: 'buttons' }, make('button', { type: 'button', id: 'save-table', onclick: save }, 'Save the figures as a table (CSV)'));
}

export function summarySection() {
  const headline = make('p', { class: 'lead', id: 'headline' });
  const standing = make('p', { class: 'standing' });
  const figures = make(
    'div',
    { class: 'grid' },
    figureChart(study.curve_charts.find(({ figure }) => figure === 'torque'), 300),
    headers.length > 1 ? differenceChart(300) : null
  );
  const body = make('div', { class: 'details' });
  const build = () => {
    const [first, ...others] = study.words[choice.units].summary;
    headline.replaceChildren(foreign(withoutBreaks(first)));
    standing.replaceChildren(foreign(withoutBreaks(others.join(' '))));
    standing.hidden = others.length === 0;
    body.replaceChildren(
      ...[
        headerTable(),
        splitTable(),
        singleSpeeds(),
        warnings(),
        study.notes ? make('p', { id: 'notes' }, foreign(study.notes)) : null,
        study.assumed.length > 0
          ? make('p', { id: 'assumed', class: 'quiet small' }, 'Assumed, not measured: ', foreign(study.assumed.join('; ')), '.')
          : null,
        airTable(),
        make(
          'p',
          { class: 'quiet small' },
          'Torque decides; the pressures explain it. During overlap: mean pressure at the exhaust valve while both valves are open. ' +
            'Best to worst: difference between the best and the worst cylinder. Peak suction: lowest pressure at the exhaust valve; 360 deg is top dead centre.'
        ),
        intervalList(),
        tableButton(),
      ].filter(Boolean)
    );
  };
  build();
  onChange(['units', 'theme'], build);
  return make('section', { id: 'summary', 'aria-labelledby': 'summary-title' },
    make('h2', { id: 'summary-title' }, 'Summary'), headline, standing, figures, headerChips(), body);
}
