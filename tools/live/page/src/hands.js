// Lengths on sliders and tubes by stock sizes, of the header in hand: what a builder turns while he
// watches the curve. A slider moves in the unit in which the file has the length, within what fits the
// car where the file says it ([tune]).
import { make, freshId } from '../../../report/page/src/dom.js';
import { choice } from '../../../report/page/src/choice.js';
import { headers } from '../../../report/page/src/study.js';
import { change, letGo, state, valueAt } from './case_state.js';
import { lengthText, sliderUnit } from './field_text.js';
import { parameterOf, stockTubes } from './form.js';
import { ask } from './solver.js';

const lengths = [
  ['primary_length', 'Primaries'],
  ['shortest', 'Shortest primary'],
  ['longest', 'Longest primary'],
  ['step', 'Step of the primaries'],
  ['secondary_length', 'Secondaries'],
  ['merge_inlet_length', 'Merge inlet'],
  ['merge_neck_length', 'Merge neck'],
  ['merge_cone_length', 'Merge cone'],
  ['collector_length', 'Collector'],
  ['divider_length', 'Divider'],
  ['tail_length', 'Tail'],
  ['tail_cone_length', 'Tail cone'],
];
const tubes = [
  ['primary_tube', 'Primaries'],
  ['secondary_tube', 'Secondaries'],
  ['collector_tube', 'Collector'],
  ['tail_tube', 'Tail'],
];
const span = 0.35; // of a length, to either side, where nothing says what fits

// Of tables within a header: list, key, section of the table, words.
const within = [
  ['primary', 'length', 'header.primary', 'Primary'],
  ['primary_steps', 'at', 'step', 'Step of the primaries at'],
  ['part', 'length', 'header.part', 'Part'],
  ['pipe', 'length', 'header.pipe', 'Pipe'],
  ['balance', 'length', 'header.balance', 'Balance pipe'],
];

const headerKey = (key) => `header[${choice.header + 1}].${key}`;

function inUnit(section, key, text, unit) {
  const answer = ask('value', { section, key, text, unit });
  return answer.error === undefined ? answer.in_unit : null;
}

// What [tune] says of a length of the header in hand: [from, to] as texts, or null.
function fits(values, part, cylinder) {
  const { tune } = values;
  if (!tune) return null;
  const name = values.header[choice.header].name;
  const own = (tune.header ?? values.header[0].name) === name;
  const vary = own ? (tune.vary ?? []).find((one) => one.part === part && !one.cylinders) : null;
  if (vary?.from && vary?.to) return [vary.from, vary.to];
  if (part !== 'primary_length' && cylinder === undefined) return null;
  const of = (tune.fits ?? []).filter((one) => cylinder === undefined || one.cylinders?.includes(cylinder));
  // What fits all of them: the largest of the shortest, the smallest of the longest.
  const tightest = (key, sign) =>
    of
      .map((one) => one[key])
      .filter(Boolean)
      .sort((a, b) => sign * (inUnit('tune.fits', key, b, 'mm') - inUnit('tune.fits', key, a, 'mm')))[0];
  const [shortest, longest] = [tightest('shortest', 1), tightest('longest', -1)];
  return shortest && longest ? [shortest, longest] : null;
}

const ranges = new Map(); // of the sliders, so that they stand still while they are moved

// Ends of a slider in its unit, whole steps.
function rangeOf(id, now, scale, limits, section, parameter) {
  const inside = (text) => inUnit(section, parameter.key, text, scale.unit);
  if (limits) {
    const [from, to] = limits.map(inside);
    if (from !== null && to !== null && from < to) return [Math.min(from, now), Math.max(to, now)];
  }
  const known = ranges.get(id);
  if (known && known.unit === scale.unit && now >= known.from && now <= known.to) return [known.from, known.to];
  const whole = (v) => Math.round(v / scale.step) * scale.step;
  const least = Math.max(0, inside(parameter.least) ?? 0);
  const greatest = inside(parameter.greatest) ?? now * 2;
  const room = Math.max(span * now, 10 * scale.step);
  const from = Math.max(least, whole(now - room), 0);
  const to = Math.min(greatest, whole(now + room));
  ranges.set(id, { unit: scale.unit, from, to });
  return [from, to];
}

// One slider. write(text): makes it the length, returns what is wrong; section: of the parameter.
function slider({ id, title, text, limits, section = 'header', parameter, write }) {
  const scale = sliderUnit(text);
  const now = inUnit(section, parameter.key, text, scale.unit);
  if (now === null) return null;
  const [least, to] = rangeOf(id, now, scale, limits, section, parameter);
  const from = now - Math.floor((now - least) / scale.step + 1e-9) * scale.step; // so that the value is on a step
  const inputId = freshId('slide');
  const output = make('output', { for: inputId }, text);
  const wrong = make('p', { class: 'field-error', role: 'alert', hidden: true });
  let own = false; // the change is the slider's own
  const input = make('input', {
    type: 'range',
    id: inputId,
    min: from,
    max: to,
    step: scale.step,
    value: now,
    'aria-valuetext': text,
    'data-slide': id,
    oninput: () => {
      const moved = lengthText(Number(input.value), scale);
      output.textContent = moved;
      input.setAttribute('aria-valuetext', moved);
      own = true;
      const said = write(moved, id);
      own = false;
      wrong.hidden = !said;
      wrong.textContent = said ?? '';
      if (said) element.follow(state.read.values);
    },
    onchange: letGo,
  });
  const element = make('div', { class: 'slide' }, make('label', { for: inputId }, title), input, output, limits ? make('span', { class: 'quiet small fits' }, `fits ${limits[0]} to ${limits[1]}`) : null, wrong);
  element.follow = (values) => {
    const at = valueAt(values, id);
    const written = at === undefined ? text : String(at);
    const value = inUnit(section, parameter.key, written, scale.unit);
    if (value === null) return;
    output.textContent = written;
    if (value < Number(input.min)) input.min = value;
    if (value > Number(input.max)) input.max = value;
    if (!own) input.value = value;
    input.setAttribute('aria-valuetext', written);
  };
  return element;
}

// Stock sizes with the wall of a tube, and the next to either side of it; null at the end.
function neighbours(text) {
  const inside = ask('value', { section: 'header', key: 'primary_tube', text });
  if (inside.error !== undefined) return [null, null];
  const wall = (tube) => (/(\d+ ga)/.exec(text)?.[1] ?? '16 ga') === tube.text.slice(-5);
  const all = stockTubes().filter(wall);
  const smaller = all.filter((tube) => tube.inside_diameter < inside.si - 1e-5);
  const larger = all.filter((tube) => tube.inside_diameter > inside.si + 1e-5);
  return [smaller.at(-1)?.text ?? null, larger[0]?.text ?? null];
}

function tubeRow(key, title, text) {
  const [smaller, larger] = neighbours(text);
  const wrong = make('p', { class: 'field-error', role: 'alert', hidden: true });
  const to = (size) => {
    const said = change([{ set: headerKey(key), value: size }]);
    wrong.hidden = !said;
    wrong.textContent = said ?? '';
  };
  const button = (size, sign, words) =>
    make('button', { type: 'button', disabled: size === null, 'aria-label': `${words} ${title.toLowerCase()} tube${size ? `: ${size}` : ''}`, title: size, onclick: () => to(size) }, sign);
  const id = freshId('size');
  const stock = stockTubes();
  const known = stock.some((tube) => tube.text === text);
  const box = make(
    'select',
    { id, onchange: (event) => to(event.target.value) },
    known ? null : make('option', { value: text, selected: true }, text),
    stock.map((tube) => make('option', { value: tube.text, selected: tube.text === text }, tube.text))
  );
  return make('div', { class: 'size', 'data-size': key }, make('label', { for: id }, title), make('div', { class: 'buttons' }, button(smaller, '−', 'Smaller'), box, button(larger, '+', 'Larger')), wrong);
}

// The tubes one by one, where they may differ.
function singleTubes(values) {
  const own = values.header[choice.header];
  const parameter = parameterOf('header', 'primary_length');
  const read = state.good?.case.headers[choice.header];
  if (!read || own.kind === 'network') return null;
  const like = own.primary_length ?? own.shortest ?? own.longest ?? '';
  const scale = sliderUnit(like);
  const inTables = new Set((own.primary ?? []).filter(({ length }) => length).flatMap(({ cylinders }) => cylinders));
  const rows = headers[choice.header].cylinders
    .filter((n) => read.lengths[n] !== undefined && !inTables.has(n))
    .map((n) => {
      const text = own.lengths?.[n] ?? lengthText(read.lengths[n] / scale.metres, scale);
      return slider({
        id: `header[${choice.header + 1}].lengths.${n}`,
        title: `Cylinder ${n}`,
        text,
        limits: fits(values, 'single', n),
        parameter,
        write: (moved, id) => change([valueAt(state.read.values, headerKey('lengths')) === undefined ? { set: headerKey('lengths'), value: { [n]: moved } } : { set: id, value: moved }], id),
      });
    })
    .filter(Boolean);
  return rows;
}

// Lengths in tables within the header: parts, steps, pipes of a network.
function inner(own) {
  return within.flatMap(([list, key, section, words]) =>
    (Array.isArray(own[list]) ? own[list] : []).map((one, k) => {
      if (typeof one?.[key] !== 'string') return null;
      const title = one.name ?? `${words}${key === 'length' ? ` ${k + 1}` : ''}${one.kind && list === 'part' ? ` (${one.kind})` : ''}`;
      return slider({ id: headerKey(`${list}[${k + 1}].${key}`), title, text: one[key], limits: null, section, parameter: parameterOf(section, key), write: (moved, id) => change([{ set: id, value: moved }], id) });
    })
  ).filter(Boolean);
}

export function handsSection() {
  const body = make('div', {});
  const single = make('details', { class: 'more', id: 'single-tubes' }, make('summary', {}, 'Each primary by itself'), make('div', {}));
  let built = '';
  let rows = [];
  const fillSingle = () => {
    const values = state.read?.values;
    if (!single.open || !values) return;
    const all = singleTubes(values) ?? [];
    const equal = valueAt(values, headerKey('lengths')) !== undefined;
    single.lastChild.replaceChildren(
      ...all,
      ...(equal ? [make('div', { class: 'buttons' }, make('button', { type: 'button', onclick: () => change([{ remove: headerKey('lengths') }]) }, 'All as the header again'))] : [])
    );
    rows.push(...all);
  };
  single.addEventListener('toggle', fillSingle);
  const section = make('div', { class: 'hands', id: 'hands' }, body, single);
  section.refresh = () => {
    const values = state.read?.values;
    const own = values?.header?.[choice.header];
    if (!own) return;
    const present = lengths.filter(([key]) => own[key] !== undefined);
    // Sliders stay while one is held: only what the file has decides which there are.
    const now = JSON.stringify([choice.header, present.map(([key]) => [key, sliderUnit(String(own[key])).unit]), tubes.map(([key]) => own[key]), Object.keys(own.lengths ?? {}), within.map(([list, key]) => (Array.isArray(own[list]) ? own[list] : []).map((one) => [one?.name, one?.kind, typeof one?.[key]])), values.tune ?? null, own.kind, single.open]);
    if (now !== built) {
      built = now;
      rows = present
        .map(([key, title]) =>
          slider({ id: headerKey(key), title, text: String(own[key]), limits: fits(values, key), parameter: parameterOf('header', key), write: (moved, id) => change([{ set: id, value: moved }], id) })
        )
        .filter(Boolean);
      rows.push(...inner(own));
      const held = document.activeElement?.closest?.('[data-size]')?.dataset.size;
      const sign = document.activeElement?.textContent;
      body.replaceChildren(
        make('h3', {}, 'Lengths'),
        rows.length > 0 ? make('div', { class: 'slides' }, rows) : make('p', { class: 'quiet' }, 'The lengths of this header are in the profiles of its pipes: see the form below.'),
        make('h3', {}, 'Tubes'),
        make('div', { class: 'sizes' }, tubes.filter(([key]) => own[key] !== undefined).map(([key, title]) => tubeRow(key, title, String(own[key]))))
      );
      if (held) [...body.querySelectorAll(`[data-size="${held}"] button`)].find(({ textContent }) => textContent === sign)?.focus();
      single.hidden = own.kind === 'network';
      fillSingle();
    } else {
      for (const row of rows) row.follow(values);
    }
  };
  section.reset = () => {
    ranges.clear();
    built = '';
    section.refresh();
  };
  return section;
}
