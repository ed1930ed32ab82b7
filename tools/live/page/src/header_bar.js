// Which header is in hand, which one it is held against, and what becomes of headers: another one like
// it, a new name, away with it.
import { make, foreign } from '../../../report/page/src/dom.js';
import { choice, choose, onChange } from '../../../report/page/src/choice.js';
import { headers } from '../../../report/page/src/study.js';
import { swatch } from '../../../report/page/src/swatch.js';
import { change, state } from './case_state.js';

// Names as the file has them, which may be more or fewer than those computed while something is wrong.
function names() {
  const written = state.read?.values?.header;
  return Array.isArray(written) ? written.map((one, i) => String(one?.name ?? `header ${i + 1}`)) : headers.map((header) => header.name);
}

// "4-2-1 b", a name that no header has.
function freeName(name) {
  const taken = new Set(names());
  const without = name.replace(/ [b-z]$/, '');
  const stem = (taken.has(without) ? without : name); // "4-2-1 b" is one of these
  return [...'bcdefghijklmnopqrstuvwxyz'].map((letter) => `${stem} ${letter}`).find((one) => !taken.has(one)) ?? `${stem} ${taken.size + 1}`;
}

export function headerBar() {
  const tabs = make('div', { class: 'chips', role: 'group', 'aria-label': 'Header in hand' });
  const reference = make('select', { id: 'reference', onchange: (event) => choose({ reference: Number(event.target.value) }) });
  const name = make('input', { type: 'text', id: 'new-name', autocomplete: 'off' });
  const wrong = make('p', { class: 'field-error', role: 'alert', hidden: true });
  const renaming = make('form', { class: 'renaming', hidden: true });
  const say = (text) => {
    wrong.hidden = !text;
    wrong.textContent = text ?? '';
  };
  const current = () => names()[choice.header];
  const copy = () => {
    const to = freeName(current());
    const place = choice.header;
    say(change([{ copy_header: current(), as: to }]));
    const at = names().indexOf(to);
    if (at >= 0 && at < headers.length) choose({ reference: place, header: at }); // the new one against the one it came from
  };
  const rename = (event) => {
    event.preventDefault();
    const to = name.value.trim();
    if (to !== current() && names().includes(to)) {
      say('There is a header of that name already.');
      return;
    }
    if (to !== '' && to !== current()) say(change([{ rename_header: current(), as: to }]));
    renaming.hidden = true;
    renameButton.focus();
  };
  const remove = () => {
    const gone = choice.header;
    say(change([{ remove_header: current() }]));
    if (choice.reference > gone) choose({ reference: choice.reference - 1 });
  };
  const renameButton = make('button', { type: 'button', id: 'rename-header', onclick: () => {
    renaming.hidden = !renaming.hidden;
    name.value = current();
    if (!renaming.hidden) name.select();
  } }, 'Rename');
  const removeButton = make('button', { type: 'button', id: 'remove-header', onclick: remove }, 'Remove');
  renaming.append(make('label', { for: 'new-name' }, 'New name'), name, make('button', { type: 'submit' }, 'Give it this name'));
  renaming.addEventListener('submit', rename);
  const refresh = () => {
    const held = document.activeElement?.dataset?.hand;
    tabs.replaceChildren(
      ...names().map((one, i) =>
        make('button', { type: 'button', class: 'chip', 'data-hand': one, 'aria-pressed': String(i === choice.header), disabled: i >= headers.length, onclick: () => choose({ header: i }) }, swatch(i), foreign(one))
      )
    );
    if (held !== undefined) [...tabs.children].find((one) => one.dataset.hand === held)?.focus();
    reference.replaceChildren(...headers.map((header, i) => make('option', { value: i, selected: i === choice.reference }, header.name)));
    reference.disabled = headers.length < 2;
    removeButton.disabled = names().length < 2;
  };
  onChange(['header', 'headers', 'theme', 'reference'], refresh);
  const bar = make(
    'div',
    { class: 'header-bar' },
    tabs,
    make('div', { class: 'controls' }, make('span', { class: 'field' }, make('label', { for: 'reference' }, 'Held against'), reference), make('div', { class: 'buttons' }, make('button', { type: 'button', id: 'copy-header', onclick: copy }, 'Duplicate'), renameButton, removeButton)),
    renaming,
    wrong
  );
  bar.refresh = refresh;
  return bar;
}
