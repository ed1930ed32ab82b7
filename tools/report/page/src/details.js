// Numerical details, points with problems, the case file, and the cautions.
import { make, foreign, table } from './dom.js';
import { choice, onChange } from './choice.js';
import { headers, hasNumbers, rpm, speeds, study } from './study.js';
import { plain, shown, unit, withUnit } from './units.js';

function range(values, places) {
  const known = values.filter((v) => v !== null && v !== undefined);
  if (known.length === 0) return '–';
  const low = Math.min(...known);
  const high = Math.max(...known);
  return low === high ? plain(low, places) : `${plain(low, places)}–${plain(high, places)}`;
}

function runsTable() {
  const head = ['Header', 'Merge model', `Cells, ${unit('length').name}`, 'Cells', 'Cycles', 'Converged', 'Not repeating', 'Failed', 'Missing', 'Clipped', 'Ledger imbalance', 'Time, s'];
  const rows = headers.map((header) => {
    const points = header.points.filter(hasNumbers);
    const f = header.figures;
    const times = header.points.map((point) => point.seconds ?? 0);
    return [
      foreign(header.name),
      header.junction_law.replaceAll('_', ' '),
      shown(header.cell_size, 'length', choice.units === 'metric' ? 1 : 2),
      range(points.map((point) => point.cells), 0),
      range(points.map((point) => point.cycles), 0),
      String(points.filter((point) => point.status === 'converged').length),
      String(f.points_not_converged),
      String(f.points_failed),
      String(f.points_missing),
      String(f.clipped),
      f.worst_imbalance.toExponential(0),
      plain(times.reduce((sum, s) => sum + s, 0), 1),
    ];
  });
  return table('How each header was computed', head, rows, { id: 'runs-table' });
}

function ledgerTable() {
  const point = headers[choice.header].points[choice.speed];
  if (!hasNumbers(point)) return make('p', {}, 'No ledger: this point has no numbers.');
  const rows = [
    ['Mass, g', point.ledger.mass, 1000, 3],
    ['Burnt gas, g', point.ledger.burnt, 1000, 3],
    ['Energy, J', point.ledger.energy, 1, 1],
  ].map(([name, line, factor, places]) => [
    name,
    ...['in', 'source', 'out', 'lost', 'stored'].map((key) => plain(line[key] * factor, places)),
    line.imbalance.toExponential(1),
  ]);
  return table('Ledger over one cycle', ['Over one cycle', 'In', 'Source', 'Out', 'Lost', 'Stored', 'Imbalance'], rows, { id: 'ledger-table' });
}

function problems() {
  const lines = headers.flatMap((header) =>
    header.points.flatMap((point, s) => {
      const at = [foreign(header.name), ` at ${rpm(s)}: `];
      if (point.status === 'failed') return [make('li', {}, ...at, 'failed: ', foreign(point.failure ?? ''))];
      if (point.status === 'damaged') return [make('li', {}, 'Damaged in the file, left out: ', foreign(point.damage))];
      if (point.status === 'missing') return [make('li', {}, ...at, 'not computed')];
      if (point.status === 'not converged') return [make('li', {}, ...at, 'does not repeat')];
      const found = [];
      if (point.clipped > 0) found.push(make('li', {}, ...at, `values were clipped ${point.clipped} times`));
      if (point.uneven) found.push(make('li', {}, ...at, point.uneven[choice.units]));
      if (point.supersonic) found.push(make('li', {}, ...at, point.supersonic[choice.units]));
      if (point.period > 1) found.push(make('li', {}, ...at, `repeats every ${point.period} cycles; the mean is shown`));
      return found;
    })
  );
  return lines.length === 0
    ? make('p', {}, 'Every point converged to a repeating cycle, and no value was clipped.')
    : make('ul', { id: 'problems' }, lines);
}

// The step of packed pressures, to one digit.
function rounding(step, kind) {
  return `${Number((study.step[step] * unit(kind).factor).toPrecision(1))} ${unit(kind).name}`;
}

function facts() {
  const pair = (term, ...value) => [make('dt', {}, term), make('dd', {}, ...value)];
  return make(
    'dl',
    { class: 'facts' },
    pair('Program', `pulsewright ${study.program_version} (${study.commit})`),
    pair('Computed', study.date),
    pair('Case', foreign(study.case_file)),
    pair('Ambient', study.ambient[choice.units]),
    pair('Build tolerance', `each primary longer by ${withUnit(study.build_tolerance, 'length', choice.units === 'metric' ? 1 : 2)}`),
    pair('Speeds', `${speeds.length}, from ${rpm(0)} to ${rpm(speeds.length - 1)}`),
    pair(
      'Cycles',
      `a point repeats when nothing changes by more than ${plain(100 * study.settings.tolerance, 2)} % from cycle to cycle, twice in a row; at most ${study.settings.most_cycles} cycles`
    ),
    pair('Time step', `Courant number ${study.settings.courant}`),
    pair(
      'Rounding',
      `figures as in the results file to nine digits; pressures at the ports to ${rounding('port', 'pressure')}, in the cylinder to ${rounding('cylinder', 'high_pressure')}, in wave diagrams to ${rounding('diagram', 'pressure')}`
    )
  );
}

export function detailsSection() {
  const runs = make('div');
  const ledger = make('div');
  const ledgerHeading = make('h3', {});
  const list = make('div');
  const found = make('div');
  const refresh = () => {
    runs.replaceChildren(runsTable());
    ledgerHeading.replaceChildren('Ledger, ', foreign(headers[choice.header].name), ` at ${rpm(choice.speed)}`);
    ledger.replaceChildren(ledgerTable());
    list.replaceChildren(facts());
    found.replaceChildren(problems());
  };
  refresh();
  onChange(['units', 'header', 'speed'], refresh);
  return make(
    'section',
    { id: 'details', 'aria-labelledby': 'details-title' },
    make('h2', { id: 'details-title' }, 'How it was computed'),
    runs,
    found,
    ledgerHeading,
    ledger,
    list,
    make(
      'details',
      { class: 'numbers case' },
      make('summary', {}, 'The case file'),
      make('pre', { tabindex: '0', dir: 'auto', 'aria-label': 'Text of the case file' }, study.case_text)
    ),
    make('h3', {}, 'Cautions'),
    make('ul', { id: 'cautions' }, study.words.cautions.map((sentence) => make('li', {}, sentence)))
  );
}
