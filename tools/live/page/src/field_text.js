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

const millimetres = { mm: 1, cm: 10, m: 1000, in: 25.4, inch: 25.4, '"': 25.4 };

// "30-1/2" as a number.
function numberIn(text) {
  const [, whole, top, bottom] = /^\s*([-+]?[\d.]+)?(?:[- ])?(?:(\d+)\/(\d+))?/.exec(text) ?? [];
  if (whole !== undefined && top === undefined && /^\s*\d+\/\d+/.test(text)) return NaN;
  return Number(whole ?? 0) + (bottom ? Number(top) / Number(bottom) : 0);
}

// A length without a unit is in that of the value before it, or in the other one of millimetres and
// inches where that comes nearer to it: 4.03 for "94 mm" is in inches, 400 for "16 in" in millimetres.
function lengthUnit(text, before) {
  const unit = unitIn(before);
  const size = numberIn(before) * (millimetres[unit] ?? NaN);
  const value = numberIn(text);
  if (!(size > 0) || !(value > 0)) return unit;
  const far = (one) => Math.abs(Math.log((value * millimetres[one]) / size));
  return [unit, 'mm', 'in'].reduce((near, one) => (far(one) < far(near) ? one : near));
}

// A text with the unit that it leaves out: that of the text before it, else that of the default or
// the example of its key.
function withUnitLeftOut(text, previous, { default: fallback, example, dimension }) {
  if (!bareNumber.test(text)) return text.trim();
  const inExample = /"([^"]*)"/.exec(example ?? '')?.[1] ?? '';
  const before = [previous, fallback, inExample].find((one) => unitIn(one) !== '');
  if (before === undefined) return text.trim();
  return `${text.trim()} ${dimension === 'length' ? lengthUnit(text, before) : unitIn(before)}`;
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
  const typed = parameter.kind === 'text' ? text.trim() : text.trim().replace(/\s*\n\s*/g, ' ');
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
      if (/\d,\d/.test(typed)) return [typed]; // a decimal comma, or a list without spaces: the reader asks
      // The unit of one that has none is that of another one beside it, else that of its place before.
      const all = parts(typed.replace(/["[\]]/g, ''), ',');
      const known = all.map(unitIn).find((unit) => unit !== '');
      const before = parts(previous ?? '', ',');
      return all.map((one, k) => (known && bareNumber.test(one) ? `${one} ${known}` : withUnitLeftOut(one, before[k] ?? before.at(-1) ?? '', parameter)));
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
