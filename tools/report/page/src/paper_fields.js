// What a shop adds to the printed page: customer, job and its own name. Kept in the reader's browser
// alone; the shop for every page, customer and job for this study.
import { make, foreign, freshId } from './dom.js';
import { remember, remembered } from './memory.js';
import { study } from './study.js';

const here = `${study.title}, ${study.date}`;
const rows = [
  ['Customer', `customer, ${here}`],
  ['Job', `job, ${here}`],
  ['Shop', 'shop'],
];

// The fields with what is filled in, for a sheet: a line to write on where nothing is.
export function sheetFields() {
  return make(
    'dl',
    { class: 'sheet-fields' },
    [...rows, ['Date', null]].flatMap(([label, key]) => {
      const value = key === null ? '' : (remembered(key) ?? '').trim();
      return [make('dt', {}, label), make('dd', {}, value === '' ? '\u00a0' : foreign(value))];
    })
  );
}

const followers = [];
// Calls `listener` when a field is changed.
export function onFieldChange(listener) {
  followers.push(listener);
}

// { editor: the fields, for the screen; printed: what is filled in, for paper }
export function paperFields() {
  const printed = make('p', { class: 'paper-only', id: 'paper-fields' });
  const fields = rows.map(([label, key]) => {
    const id = freshId('field');
    const input = make('input', { id, type: 'text', maxlength: 120, autocomplete: 'off', value: remembered(key) ?? '' });
    input.addEventListener('input', () => {
      remember(key, input.value);
      show();
      for (const listener of followers) listener();
    });
    return { label, input, element: make('span', { class: 'field' }, make('label', { for: id }, label), input) };
  });
  const show = () =>
    printed.replaceChildren(
      ...fields
        .filter(({ input }) => input.value.trim() !== '')
        .flatMap(({ label, input }, k) => [k > 0 ? ' · ' : '', `${label}: `, foreign(input.value.trim())])
    );
  show();
  const editor = make(
    'details',
    { class: 'paper-fields' },
    make('summary', {}, 'Customer, job and shop for the print'),
    make('div', { class: 'fields' }, fields.map(({ element }) => element)),
    make('p', { class: 'quiet small' }, 'Kept in this browser only.')
  );
  return { editor, printed };
}
