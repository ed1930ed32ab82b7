// Values of a case file as a field shows them, and back: lists without brackets and quotes, and the
// unit that a bare number leaves out.

const number = String.raw`[-+]?(?:\d+(?:[.]\d*)?|[.]\d+)(?:[- ]\d+\/\d+|\/\d+)?`;
const bareNumber = new RegExp(`^\\s*${number}\\s*$`);
const unitOfText = new RegExp(`^\\s*${number}\\s*(.*?)\\s*$`);

const listKinds = { quantities: ', ', numbers: ', ', integers: ', ', tubes: '; ' };

// The text of a value; '' for one that is not there.
export function textOf(value, kind) {
  if (value === undefined || value === null) return '';
  if (kind === 'integer_lists' && Array.isArray(value)) return value.map((one) => (Array.isArray(one) ? one.join(', ') : String(one))).join('; ');
  if (kind === 'free_table' && typeof value === 'object') {
    return Object.entries(value)
      .map(([name, one]) => `${name}: ${Array.isArray(one) ? one.join(', ') : one}`)
      .join('; ');
  }
  if (listKinds[kind] && Array.isArray(value)) return value.join(listKinds[kind]);
  if (typeof value === 'object') return JSON.stringify(value);
  return String(value);
}

// The unit of "32-1/2 in", '' if the text has none.
export function unitIn(text) {
  return unitOfText.exec(text ?? '')?.[1] ?? '';
}

// A text with the unit that it leaves out: that of the text before it, else that of the default or
// the example of its key.
export function withUnitLeftOut(text, previous, { default: fallback, example }) {
  if (!bareNumber.test(text)) return text.trim();
  const example1 = /"([^"]*)"/.exec(example ?? '')?.[1] ?? '';
  const unit = [previous, fallback, example1].map(unitIn).find((one) => one !== '');
  return unit ? `${text.trim()} ${unit}` : text.trim();
}

function plainNumber(text) {
  return /^[-+]?(\d+([.]\d*)?|[.]\d+)(e[-+]?\d+)?$/i.test(text) ? Number(text) : text;
}

const parts = (text, separator) => text.split(separator).map((one) => one.trim()).filter((one) => one !== '');

// What a builder writes as a list of whole numbers: "1, 8, 4, 3", "1-8-4-3", "1 8 4 3".
function integersOf(text) {
  return parts(text.replace(/[[\]]/g, ''), /[-,\s]+/).map(plainNumber);
}

// The value for the case file of a text that was typed, for the key of the parameter table; null
// where the field is empty. What is no such value goes in as a text, for the reader to judge.
export function valueOf(text, parameter, previous) {
  const typed = text.trim();
  if (typed === '') return null;
  switch (parameter.kind) {
    case 'quantity':
    case 'valve_event':
      return withUnitLeftOut(typed, previous, parameter);
    case 'number':
    case 'integer':
      return plainNumber(typed);
    case 'flag':
      return typed === 'true';
    case 'quantities': {
      // The unit of one that has none is that of the one before it, or of the next that has one.
      const all = parts(typed.replace(/["[\]]/g, ''), ',');
      const known = all.map(unitIn).find((unit) => unit !== '') ?? unitIn(parts(previous ?? '', ',')[0]);
      return all.map((one) => withUnitLeftOut(one, known ? `1 ${known}` : '', parameter));
    }
    case 'numbers':
      return parts(typed.replace(/[[\]]/g, ''), /[,\s]+/).map(plainNumber);
    case 'integers':
      return integersOf(typed);
    case 'tubes':
      return parts(typed.replace(/["[\]]/g, ''), ';');
    case 'integer_lists':
      return parts(typed, ';').map(integersOf);
    case 'free_table':
      return Object.fromEntries(
        parts(typed, ';').map((one) => {
          const [name, ...rest] = one.split(':');
          const value = rest.join(':').trim();
          return [name.trim(), parameter.key === 'banks' ? integersOf(value) : value];
        })
      );
    default:
      return typed;
  }
}

// ---------------------------------------------------------------- lengths on a slider

const inchSteps = 4; // quarters

// { unit, factor: of metres, step: in the unit }; that of the text, millimetres without one.
export function sliderUnit(text) {
  const unit = unitIn(text);
  if (/^(in|inch|inches|")[.]?$/.test(unit) || /^(ft|')/.test(unit)) return { unit: 'in', metres: 0.0254, step: 1 / inchSteps };
  if (unit === 'cm') return { unit, metres: 0.01, step: 0.5 };
  if (unit === 'm') return { unit, metres: 1, step: 0.005 };
  return { unit: 'mm', metres: 0.001, step: 5 };
}

// "32-1/4 in", "815 mm": a number of the unit, as a shop writes it.
export function lengthText(value, { unit, step }) {
  if (unit !== 'in') return `${Number((Math.round(value / step) * step).toFixed(3))} ${unit}`;
  const quarters = Math.round(value * inchSteps);
  const sign = quarters < 0 ? '-' : '';
  const whole = Math.floor(Math.abs(quarters) / inchSteps);
  const rest = Math.abs(quarters) % inchSteps;
  const fraction = { 1: '1/4', 2: '1/2', 3: '3/4' }[rest];
  if (!fraction) return `${sign}${whole} in`;
  return whole === 0 ? `${sign}${fraction} in` : `${sign}${whole}-${fraction} in`;
}
