// The pages of searches: their numbers are those that the verbs print, their charts are drawn.
import assert from 'node:assert/strict';
import { after, before } from 'node:test';
import { cells, charts, expected, fixed, on, press, signed, start, stop, violations } from './browser.mjs';

const { searches } = expected;
const inchTorque = 1 / 1.3558179483; // lb ft of a N m

before(start);
after(stop);

async function drawn(page, names) {
  const all = await charts(page);
  assert.deepEqual(Object.keys(all).sort(), [...names].sort());
  for (const [name, chart] of Object.entries(all)) assert.ok(chart && chart.ink > 1000, `${name}: ${JSON.stringify(chart)}`);
}

on('a sweep over one dimension: curve, map by speed, words', 'sweep.html', {}, async (page) => {
  await drawn(page, ['sweep']);
  const found = searches.sweep;
  for (const [units, factor, key] of [['Metric', 1, 'metric'], ['Inch', inchTorque, 'inch']]) {
    await press(page, 'Units', units);
    const rows = await cells(page, '[data-map="by-speed"]');
    assert.equal(rows.length, 5);
    rows.forEach(([name, ...values], i) => {
      assert.equal(name, found.axes[0][key][i]);
      assert.deepEqual(values, found.cells[i].torque_by_speed.map((v) => fixed(factor * v, 1)));
    });
    const means = await cells(page, '[data-map="torque"]');
    assert.ok(means[found.best][1].endsWith('*'), 'the best is marked');
    const caption = await page.locator('figure.chart figcaption').innerText();
    assert.ok(caption.includes(units === 'Inch' ? '0.7 lb ft of the best' : '1.0 N m of the best'), caption);
    const text = await page.locator('#summary').innerText();
    for (const line of found.words[key].split('\n')) assert.ok(text.includes(line), line);
  }
  assert.deepEqual(await violations(page), []);
});

on('a sweep over two dimensions: rows and columns of the map', 'map.html', {}, async (page) => {
  await drawn(page, []);
  const rows = await cells(page, '[data-map="torque"]');
  assert.equal(rows.length, 3);
  rows.forEach((row, i) => row.slice(1).forEach((text, j) => assert.ok(text.startsWith(fixed(searches.map.cells[3 * i + j].torque, 1)))));
});

on('a tolerance: the dimensions in their order, and the spread', 'tolerance.html', {}, async (page) => {
  await drawn(page, ['spread', 'torque']);
  const rows = await cells(page, '[data-map="dimensions"]');
  const changes = searches.tolerance.dimensions.flatMap((d) => d.changes);
  assert.equal(rows.length, changes.length);
  rows.forEach((row, i) => assert.deepEqual(row.slice(1), [changes[i].band, ...changes[i].torque].map((v) => signed(v, 1))));
  const spread = await cells(page, '[data-numbers="spread"]');
  assert.deepEqual(spread[0], ['band', fixed(searches.tolerance.spread.band_linear, 2), fixed(searches.tolerance.spread.band_sampled, 2)]);
  assert.deepEqual(await violations(page), []);
});

on('a tune: the designs, the front, and how the search went', 'tune.html', {}, async (page) => {
  await drawn(page, ['history', 'torque']);
  const found = searches.tune;
  const rows = await cells(page, '[data-numbers="designs"]');
  const order = ['start', 'best', 'easier'].filter((name) => found.designs[name]);
  found.variables.forEach(({ name }, v) => assert.deepEqual(rows[v], [name, ...order.map((of) => found.designs[of].metric[v])]));
  const score = rows.find(([name]) => name.startsWith('score'));
  assert.deepEqual(score.slice(1), order.map((of) => fixed(found.designs[of].score, 1)));
  const front = await cells(page, '[data-numbers="front"]');
  assert.equal(front.length, found.front.length);
  front.forEach((row, i) => assert.equal(row[0], fixed(found.front[i].aims.mean, 1)));
  assert.deepEqual(await violations(page), []);
});
