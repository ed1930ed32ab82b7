// One field of the form: what the file has at a key, or what is taken where it has none, the help of the
// parameter table, and beside it what the reader of case files says of it.
import { make, foreign, freshId } from '../../../report/page/src/dom.js';
import { change, valueAt } from './case_state.js';
import { textOf, valueOf } from './field_text.js';

// The list of stock tubes that fields of a tube offer.
export const stockListId = 'stock-tubes';

// The name of a key as a label.
export const words = (key) => key.replaceAll('_', ' ').replace(/^./, (letter) => letter.toUpperCase());

const lists = new Set(['quantities', 'numbers', 'integers', 'tubes', 'integer_lists', 'free_table']);

// What is taken for a key that is left out, as a placeholder.
function leftOut(parameter) {
  if (parameter.default !== '') return `${parameter.default} if left out`;
  if (parameter.required) return `for example ${parameter.example.replaceAll('"', '')}`;
  return '';
}

function inputOf(parameter, id, describedBy, lines) {
  const common = { id, 'aria-describedby': describedBy };
  if (parameter.kind === 'flag') {
    const none = parameter.default === '' ? 'not set' : `${parameter.default === 'true' ? 'yes' : 'no'} if left out`;
    return make('select', common, [['', none], ['true', 'yes'], ['false', 'no']].map(([value, text]) => make('option', { value }, text)));
  }
  if (parameter.kind === 'choice') {
    const none = parameter.default === '' ? 'not chosen' : `${parameter.default} if left out`;
    return make('select', common, make('option', { value: '' }, none), parameter.choices.map((one) => make('option', { value: one }, one.replaceAll('_', ' '))));
  }
  const several = lines || lists.has(parameter.kind); // may take more than one line
  return make(several ? 'textarea' : 'input', {
    ...common,
    type: several ? null : 'text',
    rows: several ? 1 : null,
    autocomplete: 'off',
    autocapitalize: 'off',
    spellcheck: 'false',
    placeholder: leftOut(parameter),
    list: parameter.kind === 'tube' ? stockListId : null,
    required: parameter.required,
  });
}

function show(box, text) {
  if (box.tagName === 'SELECT' && ![...box.options].some(({ value }) => value === text)) box.append(make('option', { value: text }, text));
  box.value = text;
  box.dataset.shown = box.value; // line ends as a field has them
  if (box.tagName === 'TEXTAREA') box.rows = Math.ceil((9 * text.length) / Math.max(280, box.clientWidth)) || 1; // 9 px a letter
}

// { key, box, element, refresh(values, problems) }: refresh shows what the file and the reader say, and
// returns the number of problems. key: full name in the file; parameter: of the table; lines:
// whether its text has several.
export function makeField(key, parameter, lines = false) {
  const id = freshId('field');
  const helpId = `${id}-help`;
  const errorId = `${id}-error`;
  const box = inputOf(parameter, id, `${errorId} ${helpId}`, lines);
  const error = make('p', { class: 'field-error', id: errorId, hidden: true });
  const help = make('details', { class: 'field-help' }, make('summary', { 'aria-label': `About ${words(parameter.key)}` }, '?'), make('p', { id: helpId }, parameter.help, ' ', make('span', { class: 'quiet' }, `Allowed: ${parameter.allowed}.`)));
  const label = make('label', { for: id }, words(parameter.key), parameter.required ? make('span', { class: 'needed', title: 'needed' }, ' *') : null);
  const element = make('div', { class: `form-field kind-${parameter.kind}`, 'data-key': key }, label, help, box, error);
  let shown = null;
  const one = {
    key,
    element,
    box,
    refresh(values, problems) {
      const now = textOf(valueAt(values, key), parameter.kind);
      // What is being typed stays until the file says something else.
      if (now !== shown) show(box, now);
      shown = now;
      const own = problems.filter((problem) => problem.field === key);
      box.setAttribute('aria-invalid', String(own.length > 0));
      error.hidden = own.length === 0;
      error.replaceChildren(
        ...own.flatMap(({ message, allowed, advice }, k) => [
          k > 0 ? make('br') : null,
          foreign(`${message}${allowed ? `; allowed: ${allowed}` : ''}${advice ? `; ${advice}` : ''}`),
        ].filter(Boolean))
      );
      return own.length;
    },
  };
  box.addEventListener('change', () => {
    if (box.value.trim() === box.dataset.shown.trim()) {
      show(box, shown);
      return;
    }
    const value = valueOf(box.value, parameter, shown);
    const wrong = change([value === null ? { remove: key } : { set: key, value }]);
    if (wrong) {
      error.hidden = false;
      error.textContent = wrong;
      box.setAttribute('aria-invalid', 'true');
    } else {
      show(box, shown); // as the file has it, also where it says the same as before
    }
  });
  return one;
}

