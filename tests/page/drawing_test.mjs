// The drawing of the header and its list of parts: lengths and tubes are those of the case files.
import assert from 'node:assert/strict';
import { after, before } from 'node:test';
import { cells, choose, expected, on, start, stop } from './browser.mjs';

before(start);
after(stop);

on('every pipe of a network is drawn and listed, lengths without the port', 'network.html', {}, async (page) => {
  await choose(page, 'Header', '0');
  const drawn = () => page.$$eval('.header-drawing [data-pipe]', (all) => all.map((pipe) => pipe.dataset.pipe));
  assert.equal((await drawn()).length, expected.network.lengths.length);
  assert.equal(await page.locator('.header-drawing .crossover').count(), 1);
  assert.equal(await page.locator('.header-drawing .junction').count(), 4);
  const ends = async () => (await page.textContent('.header-drawing')).match(/outlet|closed end/g);
  assert.deepEqual(await ends(), ['outlet', 'outlet']);
  const label = await page.getAttribute('.header-drawing', 'aria-label');
  assert.deepEqual([...label.matchAll(/ (\d+) mm/g)].map(([, length]) => Number(length)), expected.network.lengths);
  const rows = Object.fromEntries((await cells(page, '.parts')).map(([name, ...row]) => [name, row]));
  assert.deepEqual(rows['primary 1, 2'], ['2', '700', '–', '36.0–39.4', 'cone 15, ⌀ 36.0–39.4; straight 685']);
  assert.deepEqual(rows['collector left, right'], ['2', '300', '2-1/4 in OD, 16 ga', '53.8', 'straight']); // 2.25 in - 2 * 0.065 in
  assert.deepEqual(rows.bar, ['1', '250', '42 mm OD, 1.5 mm wall', '39.0', 'straight']);
  assert.equal(rows['tail left'][4], 'cone 150, ⌀ 50.0–60.0; straight 250; step to ⌀ 70.0, straight 499');
  assert.match(await page.textContent('#drawing'), /An H pipe behind the collectors/);
  await choose(page, 'Header', '1');
  assert.equal((await drawn()).length, 8);
  assert.equal(await page.locator('.header-drawing .crossover').count(), 0);
  assert.deepEqual(await ends(), ['outlet', 'outlet']);
  await choose(page, 'Header', '2');
  assert.deepEqual(await ends(), ['outlet', 'outlet', 'closed end']);
  const [face] = await page.$$eval('.face svg', (all) => all.map((svg) => svg.getAttribute('aria-label')));
  // A network places its tubes evenly in the order of the list, the first at the top.
  assert.match(face, /1 at 12:00, 4 at 3:00, 2 at 6:00, 3 at 9:00/);
});

on('collector and tail are apart, and the tubes round the collector by the clock', 'engine.html', {}, async (page) => {
  await choose(page, 'Header', '0');
  const rows = Object.fromEntries((await cells(page, '.parts')).map(([name, ...row]) => [name, row]));
  // 32 in, 16 in, 20 in of the case; inside diameter: outside less two walls of 0.065 in.
  assert.deepEqual(rows['collector left, right'].slice(0, 4), ['2', '406', '3-1/2 in OD, 16 ga', '85.6']);
  assert.deepEqual(rows['tail left, right'].slice(0, 4), ['2', '508', '3-1/2 in OD, 16 ga', '85.6']);
  const primary = Object.entries(rows).find(([name]) => name.startsWith('primary'))[1];
  assert.deepEqual(primary.slice(0, 4), ['8', '813', '1-7/8 in OD, 16 ga', '44.3']);
  const faces = () => page.$$eval('.face svg', (all) => all.map((svg) => svg.getAttribute('aria-label')));
  // Without collector_order firing goes round the collector; on the left bank 1-3-5-7 fire in the order 1, 3, 5, 7.
  assert.match((await faces())[0], /1 at 10:30, .* at 1:30, .* at 4:30, .* at 7:30/);
  await choose(page, 'Header', '2');
  // A 4-2-1 header has no merge of four primaries: two pairs and one of the secondaries on each bank.
  const merges = await faces();
  assert.equal(merges.length, 6);
  assert.equal(merges.filter((words) => /\d\+\d at/.test(words)).length, 2);
});

on('ready kinds with steps, a neck, balance pipes and one tail', 'layouts.html', {}, async (page) => {
  const rows = async () => Object.fromEntries((await cells(page, '.parts')).map(([name, ...row]) => [name, row]));
  const drawn = () => page.$$eval('.header-drawing [data-pipe]', (all) => all.map((pipe) => pipe.dataset.pipe));
  const junctions = () => page.locator('.header-drawing .junction').count();
  await choose(page, 'Header', '0');
  // Primaries with a sudden step at 12 in of 32 in are one tube each, in two parts; inside diameters: outside less
  // two walls of 0.065 in.
  assert.equal((await drawn()).length, 10);
  assert.equal(await junctions(), 2);
  let parts = await rows();
  assert.deepEqual(parts['primary 1, 2, 3, 4, 5, 6, 7, 8'].slice(0, 4), ['8', '305', '1-3/4 in OD, 16 ga', '41.1']);
  assert.deepEqual(parts['step 1 of primary 1, 2, 3, 4, 5, 6, 7, 8'].slice(0, 4), ['8', '508', '1-7/8 in OD, 16 ga', '44.3']);
  // From the area of four tubes, 2 x 44.3 mm, over 4 in to the neck of 2.6 in, 1 in long, and over 6 in to the collector.
  assert.equal(parts['collector left, right'][4], 'cone 102, ⌀ 88.6–66.0; straight 25; cone 152, ⌀ 66.0–85.6; straight 127');
  await choose(page, 'Header', '1');
  // A step at the flange; cylinders 3 and 5 have tubes of their own.
  parts = await rows();
  assert.equal(parts['primary 1, 2, 4, 6, 7, 8'][1], '813');
  assert.deepEqual(parts['primary 3, 5'].slice(0, 4), ['2', '254', '1-3/4 in OD, 16 ga', '41.1']);
  assert.equal(parts['step 1 of primary 3, 5'][4], 'cone 51, ⌀ 41.1–44.3; straight 483');
  await choose(page, 'Header', '3');
  assert.equal(await page.locator('.header-drawing .crossover').count(), 1);
  assert.equal(await junctions(), 4);
  parts = await rows();
  assert.deepEqual(parts['H pipe'].slice(0, 3), ['1', '508', '2-1/4 in OD, 16 ga']);
  await choose(page, 'Header', '4');
  assert.equal(await junctions(), 7); // two halves, the end of the wall, on each side, and the X
  await choose(page, 'Header', '5');
  assert.equal((await page.textContent('.header-drawing')).match(/outlet/g).length, 1);
  parts = await rows();
  assert.deepEqual(parts.tail.slice(0, 3), ['1', '1016', '4 in OD, 16 ga']);
});

on('mufflers and catalysts are one body each, with labels that do not lie over each other', 'parts.html', {}, async (page) => {
  const drawn = await page.$$eval('.header-drawing [data-pipe]', (all) => all.map((pipe) => pipe.dataset.pipe));
  assert.deepEqual(drawn.sort(), ['part 1 catalyst', 'part 2 chamber', 'part 3 straight-through', 'part 4 pipe', 'primary 1']);
  const rows = Object.fromEntries((await cells(page, '.parts')).map(([name, ...row]) => [name, row]));
  // Brick and two cones; shells from end plate to end plate.
  assert.deepEqual(rows['part 1 catalyst'].slice(0, 2), ['1', '200']);
  assert.match(rows['part 1 catalyst'][4], /cone 50, .*straight 100; cone 50/);
  assert.deepEqual(rows['part 2 chamber'], ['1', '250', '–', '120.0', 'shell']);
  assert.deepEqual(rows['part 3 straight-through'], ['1', '350', '–', '110.0', 'shell']);
  const boxes = await page.$$eval('.header-drawing text', (all) =>
    all.map((text) => ({ text: text.textContent, ...text.getBoundingClientRect().toJSON() }))
  );
  const over = (a, b) => a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 3 && b.top < a.bottom - 3;
  boxes.forEach((a, i) => boxes.slice(i + 1).forEach((b) => assert.ok(!over(a, b), `${a.text} over ${b.text}`)));
});

on('captions of wide tables stay within a narrow screen', 'engine.html', { width: 390 }, async (page) => {
  const ends = await page.$$eval('caption:not(.hidden)', (all) => all.map((one) => [one.textContent, one.getBoundingClientRect().right]));
  assert.ok(ends.length > 1);
  for (const [text, right] of ends) assert.ok(right <= 390, `${text}: ${right}`);
});
