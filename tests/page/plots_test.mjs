// Where plots stand, which lines and bands they show, and their axes.
import assert from 'node:assert/strict';
import { after, before } from 'node:test';
import { charts, choose, expected, on, press, settle, start, stop } from './browser.mjs';

before(start);
after(stop);

on('the summary and its torque curve are on the first screen', 'engine.html', {}, async (page) => {
  const bottom = await page.$eval('[data-chart="torque"]', (chart) => chart.getBoundingClientRect().bottom + scrollY);
  assert.ok(bottom <= 900, `${bottom} px`);
  assert.match(await page.textContent('#notes'), /Cross-plane crank/); // of the case
});

on('only the selected header has a band', 'engine.html', {}, async (page) => {
  // Orange is faint in the band and strong in the line: count what is close to the line's colour mixed
  // with the ground, by switching the band off.
  const withBand = (await charts(page)).torque.print;
  await press(page, 'Band around each line', 'No band');
  assert.notEqual((await charts(page)).torque.print, withBand);
  await press(page, 'Band around each line', 'Uncertainty');
  await choose(page, 'Band for', '0');
  assert.notEqual((await charts(page)).torque.print, withBand);
  assert.match(await page.textContent('#over-speed .quiet'), /Band: equal-length/);
  // Without the selected header there is none.
  await page.locator('.chip input').first().uncheck();
  await settle(page);
  const none = (await charts(page)).torque.print;
  await press(page, 'Band around each line', 'No band');
  assert.equal((await charts(page)).torque.print, none);
});

on('twelve headers: the best are shown at first, and no two lines look alike', 'many.html', {}, async (page) => {
  const boxes = await page.$$eval('.chip', (all) =>
    all.map((chip) => {
      const line = chip.querySelector('line');
      return { name: chip.textContent, on: chip.querySelector('input').checked, look: `${line.getAttribute('stroke')} ${line.getAttribute('stroke-dasharray')}` };
    })
  );
  assert.deepEqual(boxes.map(({ name }) => name), expected.many.names);
  assert.equal(new Set(boxes.map(({ look }) => look)).size, expected.many.names.length);
  const shown = boxes.filter(({ on }) => on).length;
  assert.equal(shown, 6);
  await page.getByRole('button', { name: 'All', exact: true }).click();
  assert.equal(await page.locator('.chip input:checked').count(), expected.many.names.length);
  await page.getByRole('button', { name: 'None', exact: true }).click();
  assert.equal(await page.locator('.chip input:checked').count(), 0);
});

on('the axis of the wave diagram ends at 720', 'engine.html', {}, async (page) => {
  // Labels are drawn on the canvas: what it is told to write is collected.
  const written = await page.evaluate(() => {
    const texts = [];
    const draw = CanvasRenderingContext2D.prototype.fillText;
    CanvasRenderingContext2D.prototype.fillText = function (text, ...at) {
      if (this.canvas.closest('[data-chart="wave"]')) texts.push(text);
      return draw.call(this, text, ...at);
    };
    document.querySelector('[aria-label="Whole cycle"]').click();
    return new Promise((done) => requestAnimationFrame(() => done(texts)));
  });
  const angles = written.filter((text) => /^\d+$/.test(text)).map(Number);
  assert.ok(angles.includes(0) && angles.includes(720), angles.join(' '));
  assert.equal(angles.filter((angle) => angle === 0).length, 2, 'the left end, and the valve');
  for (const name of ['EVO', 'IVO', 'EVC']) assert.ok(written.includes(name), name);
});

on('the axis of the cylinder pressure goes with the data', 'engine.html', {}, async (page) => {
  // The highest pressure is in the upper twentieth of the frame, the lowest in the lower: of the
  // pixels of the line, rows from the top.
  const rows = await page.evaluate(() => {
    const canvas = document.querySelector('[data-chart="cylinder"] canvas');
    const { data, width, height } = window.copyOf(canvas);
    const coloured = [];
    for (let y = 0; y < height; y += 1) {
      for (let x = 0; x < width; x += 1) {
        const i = 4 * (y * width + x);
        if (data[i + 3] > 200 && data[i] > 200 && data[i + 1] > 130 && data[i + 1] < 190 && data[i + 2] < 60) { coloured.push(y); break; }
      }
    }
    return [coloured[0], coloured[coloured.length - 1], height];
  });
  const [top, bottom, height] = rows;
  // The axis with its label takes 48 px below, the frame begins 8 px below the edge.
  assert.ok(top < 8 + 0.1 * (height - 56), `${rows}`);
  assert.ok(bottom > height - 48 - 0.1 * (height - 56), `${rows}`);
});
