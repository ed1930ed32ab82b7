// The sheets for customer and bench: their numbers, and that each has room on one page of A4 or
// Letter.
import assert from 'node:assert/strict';
import { after, before } from 'node:test';
import { cells, choose, engine, fixed, mean, on, press, settle, signed, start, stop } from './browser.mjs';

before(start);
after(stop);

const ranked = engine.headers.map((_, c) => c).sort((a, b) => mean(engine.headers[b].figures.torque) - mean(engine.headers[a].figures.torque));

on('the customer sees torque, power and gain of the results file', 'engine.html', {}, async (page) => {
  const [best, second] = ranked;
  const other = best === 0 ? second : 0; // the reference at first
  assert.equal(await page.locator('.sheet.customer').count(), 1);
  assert.ok((await page.locator('.sheet.customer h3').textContent()).endsWith(engine.headers[best].name));
  const rows = await cells(page, '[data-numbers="customer"]');
  assert.equal(rows.length, engine.speeds.length);
  rows.forEach((row, s) => {
    const own = engine.headers[best].figures.torque[s];
    assert.equal(row[0], `${engine.speeds[s]} rpm`);
    assert.equal(row[1], fixed(own, 1));
    assert.equal(row[2], fixed(engine.headers[best].figures.power[s] / 1000, 1));
    if (row[3] === '–') return; // does not count
    assert.equal(row[3], signed(own - engine.headers[other].figures.torque[s], 1));
    const [low, high] = row[4].split(' to ').map(Number);
    assert.ok(low <= Number(row[3]) && Number(row[3]) <= high, row.join(' | '));
  });
  assert.ok(rows.some((row) => row[3] !== '–'), 'some speeds count');
  assert.equal(await page.locator('.sheet .speed-plot path').count(), 4, 'two headers in two plots');
  assert.equal(await page.locator('.sheet-drawing').count(), 1);
  await press(page, 'Units', 'Inch');
  const inch = await cells(page, '[data-numbers="customer"]');
  assert.equal(inch[0][1], fixed(engine.headers[best].figures.torque[0] / 1.3558179483, 1));
});

on('what is filled in at the top stands on every sheet, as text', 'engine.html', {}, async (page) => {
  await page.locator('.paper-fields summary').click();
  await page.getByLabel('Customer', { exact: true }).fill('<b>A & B</b>');
  await settle(page);
  const sheets = await page.locator('.sheet').count();
  assert.equal(await page.locator('.sheet-fields dd', { hasText: '<b>A & B</b>' }).count(), sheets);
});

on('the bench has a sheet for each bank, with the tubes of the case', 'engine.html', {}, async (page) => {
  const equal = engine.headers.findIndex(({ name }) => name === 'equal-length');
  await choose(page, 'Header', String(equal));
  await press(page, 'Units', 'Inch');
  const titles = await page.locator('.sheet.bench .kind').allTextContents();
  assert.deepEqual(titles, ['For the bench: bank left', 'For the bench: bank right', 'For the bench: collectors and order']);
  const left = await cells(page, '.sheets > .sheet:nth-child(2) .bench-tubes');
  assert.deepEqual(left.map((row) => row[0]), ['cylinder 1', 'cylinder 3', 'cylinder 5', 'cylinder 7']);
  // As the shipped case has it: 1-7/8 in OD, 16 ga, 32 in.
  for (const row of left) assert.deepEqual([row[1], row[2]], ['1-7/8 in OD, 16 ga', '32 in']);
  const order = await page.locator('.sheet.bench .order').textContent();
  assert.ok(order.includes('straight 1-7/8 in OD, 16 ga'), order);
});

on('no size is divided between two lines', 'engine.html', { width: 360 }, async (page) => {
  await press(page, 'Units', 'Inch');
  // The number of lines on which each size as 1-7/8 stands, at whatever width; the list of what to order, too.
  const lines = await page.evaluate(() => {
    const found = [];
    for (const width of [60, 75, 90, 105, 120]) {
      for (const box of document.querySelectorAll('.sheet.bench li, .sheet.bench td')) {
        box.style.maxWidth = box.style.width = `${width}px`;
        box.style.whiteSpace = 'normal';
        const walk = document.createTreeWalker(box, NodeFilter.SHOW_TEXT);
        for (let node = walk.nextNode(); node; node = walk.nextNode()) {
          for (const match of node.data.matchAll(/\d+-\d+\/\d+/g)) {
            const range = document.createRange();
            range.setStart(node, match.index);
            range.setEnd(node, match.index + match[0].length);
            found.push(new Set([...range.getClientRects()].map(({ top }) => Math.round(top))).size);
          }
        }
      }
    }
    return found;
  });
  assert.ok(lines.length > 50, `${lines.length} sizes`);
  assert.ok(lines.every((count) => count === 1), lines.join(' '));
});

// Height between the margins of Letter, the lower of the two: 11 in less 28 mm at 96 CSS px/in; width
// between those of A4, the narrower one.
const paper = { width: 687, height: Math.floor(11 * 96 - (28 / 25.4) * 96) };

for (const [file, headers] of [['engine.html', engine.headers.length], ['layouts.html', 1], ['many.html', 1]]) {
  on(`each sheet has room on one page: ${file}`, file, { width: paper.width, height: 1000 }, async (page) => {
    await page.emulateMedia({ media: 'print' });
    for (let i = 0; i < headers; i += 1) {
      await page.evaluate((k) => {
        const box = [...document.querySelectorAll('.selection select')][0];
        box.value = String(k);
        box.dispatchEvent(new Event('change'));
      }, i);
      await settle(page);
      const heights = await page.$$eval('.sheet', (sheets) => sheets.map((one) => [one.getAttribute('aria-label'), one.offsetHeight, one.scrollWidth - one.clientWidth]));
      assert.ok(heights.length > 0);
      for (const [title, height, beyond] of heights) {
        assert.ok(height > 100 && height <= paper.height, `${title}: ${height} px of ${paper.height}`);
        assert.ok(beyond <= 0, `${title}: ${beyond} px too wide`);
      }
    }
  });
}
