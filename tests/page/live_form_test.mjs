// Fields of the form without a browser: what is typed becomes which value of a case file, and that
// every key of the parameter table has one place in the form. Expected values are common practice in
// the trade.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { test } from 'node:test';
import { lengthText, sliderUnit, textOf, unitIn, valueOf } from '../../tools/live/page/src/field_text.js';
import { groups } from '../../tools/live/page/src/groups.js';

const length = { kind: 'quantity', key: 'bore', dimension: 'length', default: '', example: '"94 mm"' };

test('a number without a unit has that of the value before it, else that of the example', () => {
  assert.equal(valueOf('4.030', length, '4 in'), '4.030 in');
  assert.equal(valueOf('30-1/2', length, '32 in'), '30-1/2 in');
  assert.equal(valueOf('94', length, ''), '94 mm');
  assert.equal(valueOf(' 3-3/4 in ', length, '94 mm'), '3-3/4 in');
  assert.equal(valueOf('80', { kind: 'valve_event', key: 'opens', default: '', example: '"74 deg BBDC"' }, '82 deg BBDC'), '80 deg BBDC');
  assert.equal(valueOf('', length, '94 mm'), null);
  assert.equal(valueOf('wide', length, '94 mm'), 'wide'); // for the reader to judge
  assert.equal(unitIn('-1.5 deg ATDC'), 'deg ATDC');
});

test('a length in the other unit is taken as it is meant', () => {
  assert.equal(valueOf('4.030', length, '94 mm'), '4.030 in');
  assert.equal(valueOf('4.030', length, ''), '4.030 in'); // near the example, not below any engine
  assert.equal(valueOf('95.5', length, '94 mm'), '95.5 mm');
  assert.equal(valueOf('30-1/2', length, '800 mm'), '30-1/2 in');
  assert.equal(valueOf('400', length, '16 in'), '400 mm');
  assert.equal(valueOf('0.016', length, '0.40 mm'), '0.016 in');
  assert.equal(valueOf('0.75', length, '0.8 m'), '0.75 m');
  assert.equal(valueOf('3/4', length, '1 in'), '3/4 in');
  const lifts = { kind: 'quantities', key: 'lift', dimension: 'length', default: '', example: '["0.1 in", "0.2 in"]' };
  assert.deepEqual(valueOf('2, 4, 6', lifts, '0.1 in, 0.2 in'), ['2 mm', '4 mm', '6 mm']);
  assert.deepEqual(valueOf('0.15, 0.3', lifts, '0.1 in, 0.2 in'), ['0.15 in', '0.3 in']);
});

test('lists lose and keep their units', () => {
  const flow = { kind: 'quantities', key: 'forward', default: '', example: '["75 cfm", "130 cfm"]' };
  assert.deepEqual(valueOf('68, 127 cfm, 168', flow, '60 cfm'), ['68 cfm', '127 cfm', '168 cfm']);
  assert.deepEqual(valueOf('1-8-4-3', { kind: 'integers' }, ''), [1, 8, 4, 3]);
  assert.deepEqual(valueOf('1, 5; 3, 7', { kind: 'integer_lists' }, ''), [[1, 5], [3, 7]]);
  assert.deepEqual(valueOf('left: 1, 3; right: 2, 4', { kind: 'free_table', key: 'banks' }, ''), { left: [1, 3], right: [2, 4] });
  assert.deepEqual(valueOf('3: 30 in; 5: 29-1/2 in', { kind: 'free_table', key: 'lengths' }, ''), { 3: '30 in', 5: '29-1/2 in' });
  assert.deepEqual(valueOf('1-3/4 in OD, 16 ga; 2 in OD, 16 ga', { kind: 'tubes' }, ''), ['1-3/4 in OD, 16 ga', '2 in OD, 16 ga']);
  assert.equal(textOf({ left: [1, 3], right: [2, 4] }, 'free_table'), 'left: 1, 3; right: 2, 4');
  assert.equal(textOf(['0.1 in', '0.2 in'], 'quantities'), '0.1 in, 0.2 in');
});

test('sliders write lengths as a shop does', () => {
  assert.equal(lengthText(32.25, sliderUnit('32 in')), '32-1/4 in');
  assert.equal(lengthText(0.5, sliderUnit('3 in')), '1/2 in');
  assert.equal(lengthText(33, sliderUnit("2' 9")), '33 in');
  assert.equal(lengthText(803, sliderUnit('800 mm')), '805 mm');
  assert.equal(lengthText(0.8049, sliderUnit('0.8 m')), '0.805 m');
});

// From the source of the table: section and key of every entry.
test('every key of the parameter table has one place', () => {
  const file = path.join(import.meta.dirname ?? path.dirname(new URL(import.meta.url).pathname), '../../cases/parameter_table.cpp');
  const entries = [...readFileSync(file, 'utf8').matchAll(/^ {4}\{"([\w.]*)", "(\w+)", (\w+)/gm)].map(([, section, key, kind]) => ({ section, key, kind }));
  assert.ok(entries.length > 250);
  const places = groups.flatMap(({ tables }) => tables);
  for (const { section, key, kind } of entries) {
    if (section.startsWith('header.') || section.startsWith('tune.') || section.startsWith('dyno.') || ['bend', 'step', 'profile'].includes(section)) continue; // within another
    const shown = places.filter(([, of, , which]) => of === section && (which?.(key) ?? true));
    // Valves have every key twice; tables at the top of the file are panels of their own.
    const times = section.startsWith('valve') ? 2 : section === '' && kind.startsWith('table') ? 0 : 1;
    assert.equal(shown.length, times, `[${section}] ${key}`);
    if (times === 0) assert.ok(places.some(([place]) => place === key || place.startsWith(`${key}.`)), `[[${key}]] has no panel`);
  }
});
