// The form: fields for every key of the parameter table, with its help, default and range, and what
// the reader of case files says of the value beside it. A field that is changed changes its key in the
// text of the case, and nothing else.
import { make, foreign } from '../../../report/page/src/dom.js';
import { choice, choose } from '../../../report/page/src/choice.js';
import { headers } from '../../../report/page/src/study.js';
import { change, state, valueAt } from './case_state.js';
import { makeField, stockListId, words } from './field.js';
import { valueOf } from './field_text.js';
import { groups } from './groups.js';
import { ask } from './solver.js';

let sections = new Map(); // name -> { title, keys }
let stock = []; // texts of stock tubes

// Reads the table anew, for messages in the units chosen.
export function readTable() {
  sections = new Map(ask('parameters', { units: choice.units }).sections.map((one) => [one.section, one]));
  stock = ask('stock_tubes').tubes;
}

export function stockTubes() {
  return stock;
}
export function parameterOf(section, key) {
  return sections.get(section).keys.find((one) => one.key === key);
}

function stockList() {
  return make('datalist', { id: stockListId }, stock.map(({ text }) => make('option', { value: text })));
}

// A full name in the words of the form: "header[2].tail_length" is "Header 4-2-1: tail length".
function inWords(key, values) {
  return key
    .split('.')
    .map((part) => {
      const [, name, place] = /^(\w*)(?:\[(\d+)\])?/.exec(part);
      const header = name === 'header' && place ? values.header?.[Number(place) - 1]?.name : undefined;
      return `${words(name)}${header ? ` ${header}` : place ? ` ${place}` : ''}`;
    })
    .join(': ');
}

// One of a list: "bend" of bends.
const single = (key) => words(key === 'fits' ? 'fit' : key.replace(/s$/, ''));

let fields = []; // those on the page, of field.js

const refused = make('p', { class: 'field-error', role: 'alert', hidden: true });
// What an edit of the text was refused for, or null.
function complain(text) {
  refused.hidden = !text;
  refused.textContent = text ?? '';
}

function field(key, parameter, values) {
  const one = makeField(key, parameter, String(valueAt(values, key) ?? '').includes('\n'));
  fields.push(one);
  return one.element;
}

// ---------------------------------------------------------------- tables

const isTable = ({ kind, table }) => (kind === 'table' || kind === 'tables') && table !== '';

// Tables that have a place of their own in a group.
const placed = new Set(groups.flatMap(({ tables }) => tables.map(([path]) => path)));

function isThere(values, path, key) {
  return valueAt(values, path === '' ? key : `${path}.${key}`) !== undefined;
}

// The first fields of a new table in a list.
function firstFields(section) {
  const given = sections.get(section).keys.filter(({ required, kind }) => required && kind !== 'tables' && kind !== 'table');
  return Object.fromEntries(
    given.map((parameter) => [parameter.key, valueOf(parameter.example.replaceAll('"', '').replace(/^\[(.*)\]$/, '$1'), parameter, '')])
  );
}

function listOf(path, parameter, values) {
  const list = valueAt(values, path) ?? [];
  const add = () => complain(change([{ append: path, value: firstFields(parameter.table) }]));
  const items = (Array.isArray(list) ? list : []).map((_, k) =>
    make(
      'fieldset',
      { class: 'item' },
      make('legend', {}, `${single(parameter.key)} ${k + 1}`),
      tableFields(`${path}[${k + 1}]`, parameter.table, values),
      make('div', { class: 'buttons' }, make('button', { type: 'button', onclick: () => complain(change([{ remove: `${path}[${k + 1}]` }])) }, `Remove ${single(parameter.key).toLowerCase()} ${k + 1}`))
    )
  );
  return make(
    'div',
    { class: 'list', 'data-list': path },
    make('p', { class: 'list-title' }, words(parameter.key), make('span', { class: 'quiet small' }, ` ${parameter.help}`)),
    items,
    make('div', { class: 'buttons' }, make('button', { type: 'button', onclick: add }, `Add one ${single(parameter.key).toLowerCase()}`))
  );
}

// Fields of a table: what it has and needs, and behind a fold what it leaves out.
function tableFields(path, section, values, which = () => true) {
  const first = [];
  const lists = []; // below the others, since they take the whole width
  const more = [];
  for (const parameter of sections.get(section).keys) {
    if (!which(parameter.key)) continue;
    const key = path === '' ? parameter.key : `${path}.${parameter.key}`;
    const there = isThere(values, path, parameter.key);
    if (isTable(parameter)) {
      if (placed.has(key.replace(/\[\d+\]/g, ''))) continue;
      const inner = parameter.kind === 'tables' ? listOf(key, parameter, values) : make('fieldset', { class: 'item' }, make('legend', {}, words(parameter.key)), tableFields(key, parameter.table, values));
      (there ? lists : more).push(inner);
    } else {
      (there || parameter.required ? first : more).push(field(key, parameter, values));
    }
  }
  const fold = make('details', { class: 'more', 'data-fold': `${path} ${section}` }, make('summary', {}, `More: ${more.length} that are left out`), make('div', { class: 'fields-grid' }, more));
  fold.open = open.has(fold.dataset.fold);
  fold.addEventListener('toggle', () => (fold.open ? open.add(fold.dataset.fold) : open.delete(fold.dataset.fold)));
  return [make('div', { class: 'fields-grid' }, first, lists), more.length > 0 ? fold : null].filter(Boolean);
}

const open = new Set(); // folds that the user opened

// ---------------------------------------------------------------- the whole form

// The nearest field of a problem: of its key, or of the list that it is an element of.
function fieldOf(problem) {
  let key = problem.key;
  const known = new Set(fields.map((one) => one.key));
  while (key !== '' && !known.has(key)) {
    const cut = key.replace(/(\[\d+\]|[.]?[^.[\]]+)$/, '');
    key = cut === key ? '' : cut;
  }
  return key;
}

function parts(path) {
  // Of [[header]] the one in hand.
  return path === 'header' ? `header[${choice.header + 1}]` : path;
}

// What the form is built for: the header in hand, its kind, and how many tables its lists have. A key that
// comes or goes does not build it anew: what is being clicked on would be gone.
function shape(values) {
  const lists = [];
  const walk = (node, path) => {
    if (Array.isArray(node)) {
      if (node.some((one) => one && typeof one === 'object' && !Array.isArray(one))) lists.push(`${path}#${node.length}`);
      node.forEach((one, k) => walk(one, `${path}[${k + 1}]`));
    } else if (node && typeof node === 'object') {
      for (const [name, one] of Object.entries(node)) walk(one, `${path}.${name}`);
    }
  };
  const header = values.header?.[choice.header];
  walk({ ...values, header }, '');
  return `${state.name} ${choice.header} ${header?.kind} ${lists.join()}`;
}

export function formSection() {
  const tabs = make('div', { class: 'tabs', role: 'tablist', 'aria-label': 'Parts of the case' });
  const panels = make('div', {});
  const errors = make('div', { class: 'warning', role: 'alert', id: 'problems', hidden: true });
  const remarks = make('details', { class: 'numbers', id: 'remarks' });
  let group = 'engine';
  let built = '';

  const select = (id, focus = false) => {
    group = id;
    for (const tab of tabs.children) {
      const on = tab.dataset.group === id;
      tab.setAttribute('aria-selected', String(on));
      tab.tabIndex = on ? 0 : -1;
      if (on && focus) tab.focus();
    }
    for (const panel of panels.children) panel.hidden = panel.dataset.group !== id;
  };
  tabs.append(
    ...groups.map(({ id, title }, k) =>
      make(
        'button',
        {
          type: 'button',
          role: 'tab',
          id: `tab-${id}`,
          'aria-controls': `panel-${id}`,
          'data-group': id,
          onclick: () => select(id),
          onkeydown: (event) => {
            const to = { ArrowRight: k + 1, ArrowLeft: k - 1, Home: 0, End: groups.length - 1 }[event.key];
            if (to === undefined) return;
            event.preventDefault();
            select(groups[(to + groups.length) % groups.length].id, true);
          },
        },
        title,
        make('span', { class: 'count' })
      )
    )
  );

  const nextButton = (id) => {
    const next = groups[groups.findIndex((one) => one.id === id) + 1];
    if (!next) return null;
    const go = () => {
      select(next.id, true);
      tabs.scrollIntoView({ block: 'start' });
    };
    return make('div', { class: 'buttons next' }, make('button', { type: 'button', onclick: go }, `Next: ${next.title}`));
  };

  const build = (values) => {
    fields = [];
    // Focus and what is open stay where they were.
    const held = document.activeElement?.closest?.('[data-key]')?.dataset.key;
    panels.replaceChildren(
      ...groups.map(({ id, tables }) =>
        make(
          'div',
          { class: 'panel', role: 'tabpanel', id: `panel-${id}`, 'aria-labelledby': `tab-${id}`, 'data-group': id },
          tables.map(([path, section, title, which]) => tablePanel(parts(path), section, title, which, values)),
          nextButton(id)
        )
      )
    );
    select(group);
    if (held) fields.find(({ key }) => key === held)?.box.focus();
  };

  // To the field of a key; of another header than the one in hand that one is taken first.
  const go = (key) => {
    const at = Number(/^header\[(\d+)\]/.exec(key)?.[1] ?? 0) - 1;
    if (at >= 0 && at !== choice.header && at < headers.length) choose({ header: at });
    const target = fields.find((one) => one.key === key) ?? fields.find((one) => one.key === fieldOf({ key }));
    if (!target) return;
    select(target.element.closest('.panel').dataset.group);
    for (let node = target.element.parentElement; node; node = node.parentElement) if (node.tagName === 'DETAILS') node.open = true;
    target.box.focus();
    target.box.scrollIntoView({ block: 'center' });
  };

  const section = make(
    'section',
    { id: 'form', 'aria-labelledby': 'form-title' },
    make('h2', { id: 'form-title' }, 'The engine and its headers'),
    errors,
    refused,
    tabs,
    panels,
    remarks,
    stockList()
  );
  section.refresh = () => {
    const { read } = state;
    if (!read) return;
    const values = read.values;
    if (!values) {
      errors.hidden = false;
      errors.replaceChildren(make('strong', {}, 'This file cannot be read'), make('ul', {}, read.problems.map(({ line, message, advice }) => make('li', {}, foreign(`${line > 0 ? `line ${line}: ` : ''}${message}${advice ? `; ${advice}` : ''}`)))));
      panels.replaceChildren();
      built = '';
      return;
    }
    const now = shape(values);
    if (now !== built) {
      build(values);
      built = now;
    }
    const problems = read.problems.map((problem) => ({ ...problem, field: fieldOf(problem) }));
    const counts = new Map();
    for (const one of fields) {
      const count = one.refresh(values, problems);
      const of = one.element.closest('.panel')?.dataset.group;
      counts.set(of, (counts.get(of) ?? 0) + count);
    }
    for (const tab of tabs.children) {
      const count = counts.get(tab.dataset.group) ?? 0;
      tab.lastChild.textContent = count > 0 ? ` ${count}` : '';
      tab.classList.toggle('wrong', count > 0);
    }
    errors.hidden = problems.length === 0;
    errors.replaceChildren(
      make('strong', {}, problems.length === 1 ? 'One thing to put right before it can be computed' : `${problems.length} things to put right before it can be computed`),
      make(
        'ul',
        {},
        problems.map(({ key, value, message, field: place }) =>
          make('li', {}, place || /^header\[/.test(key) ? make('button', { type: 'button', class: 'link', onclick: () => go(place || key) }, foreign(inWords(key, values))) : foreign(inWords(key, values)), foreign(`${value ? ` = ${value}` : ''}: ${message}`))
        )
      )
    );
    remarks.hidden = read.remarks.length + (read.assumptions ?? []).length === 0;
    remarks.replaceChildren(
      make('summary', {}, `A second look: ${read.remarks.length} to be looked at, ${read.assumptions.length} assumed`),
      make(
        'ul',
        {},
        read.remarks.map(({ key, message, advice }) => make('li', {}, foreign(`${key}: ${message}${advice ? `; ${advice}` : ''}`))),
        read.assumptions.map(({ key, value, reason }) => make('li', {}, foreign(`${key}: ${value ? `${value} assumed, ` : ''}${reason}`)))
      )
    );
  };
  section.show = (id) => select(id);
  section.rebuild = () => {
    built = '';
    section.refresh();
  };
  return section;
}

// A table of the file with its title; one that the file does not have is folded.
function tablePanel(path, section, title, which, values) {
  const there = path === '' || valueAt(values, path) !== undefined;
  const inner = section === 'dyno' ? listOf(path, { key: 'dyno', table: 'dyno', help: sections.get('').keys.find(({ key }) => key === 'dyno').help }, values) : tableFields(path, section, values, which);
  if (there) return make('fieldset', { class: 'table' }, make('legend', {}, title), inner);
  const fold = make('details', { class: 'more', 'data-fold': path }, make('summary', {}, `${title} (left out)`), inner);
  fold.open = open.has(path);
  fold.addEventListener('toggle', () => (fold.open ? open.add(path) : open.delete(path)));
  return fold;
}
