// The dyno sheet: its numbers are those of the verb, its charts are drawn, and it prints on one page.
import assert from 'node:assert/strict';
import { after, before } from 'node:test';
import { blue, cells, charts, expected, fixed, on, orange, pixelsOf, press, settle, signed, start, stop } from './browser.mjs';

const { dyno } = expected;
const [short, long] = dyno.curves;

before(start);
after(stop);

on('measured and predicted torque are those of the verb', 'dyno.html', {}, async (page) => {
  for (const [units, factor] of [['Metric', 1], ['Inch', 1 / 1.3558179483]]) {
    await press(page, 'Units', units);
    for (const curve of [short, long]) {
      const box = page.locator('#dyno details.numbers', { hasText: `${curve.header} in numbers` });
      await box.evaluate((details) => (details.open = true));
      const rows = await cells(page, `[data-numbers="dyno ${curve.header}"]`);
      assert.equal(rows.length, curve.torque.length);
      curve.torque.forEach((p, s) => {
        const [rpm, measured, half, pulls, predicted, difference] = rows[s];
        assert.equal(rpm, fixed(p.speed_rpm, 0));
        assert.equal(measured, fixed(factor * p.measured, 1));
        assert.equal(half, fixed(factor * p.plus_or_minus, 1));
        assert.equal(pulls, '3');
        assert.equal(predicted, `${fixed(factor * p.predicted, 1)} (${fixed(factor * p.low, 1)} to ${fixed(factor * p.high, 1)})`);
        assert.equal(difference, signed(factor * (p.predicted - p.measured), 1));
      });
    }
  }
  const text = await page.locator('#dyno').textContent();
  assert.ok(text.includes(`${long.header} less ${short.header}`), text);
  assert.ok(/the intervals (do not )?meet/.test(text), text);
});

on('every chart of the sheet is drawn, with the line of its header', 'dyno.html', {}, async (page) => {
  const drawn = await charts(page);
  for (const [name, colour] of [
    [`dyno ${short.header}`, blue],
    [`dyno difference ${short.header}`, blue],
    [`dyno ${long.header}`, orange],
    [`dyno ${long.header} less ${short.header}`, orange],
  ]) {
    assert.ok(drawn[name] && drawn[name].ink > 1500, `${name}: ${JSON.stringify(drawn[name])}`);
    assert.ok((await pixelsOf(page, name, colour)) > 50, `${name} has its line`);
  }
});

on('predictions that do not count are grey', 'dyno-grey.html', {}, async (page) => {
  const chart = `dyno ${short.header}`;
  for (const colour of [blue, orange]) assert.equal(await pixelsOf(page, chart, colour), 0);
  assert.ok((await pixelsOf(page, chart, '#56606b')) > 10, 'grey marks');
  await page.focus(`[data-chart="${chart}"]`);
  await page.keyboard.press('Home');
  await settle(page);
  assert.match(await page.textContent('#reading'), /measured .*predicted .*, does not count/);
  assert.match(await page.textContent('#dyno'), /Grey: predictions that do not count/);
});

on('the sheet takes one printed page', 'dyno.html', {}, async (page) => {
  await page.evaluate(() => dispatchEvent(new Event('beforeprint')));
  await page.emulateMedia({ media: 'print' });
  await page.setViewportSize({ width: 687, height: 1017 }); // A4 between margins of 14 mm, CSS px
  await settle(page);
  const { height } = await page.locator('#dyno').boundingBox();
  assert.ok(height > 600 && height < 1017, `${height} px`);
});

on('a page without measured pulls has no such sheet', 'engine.html', {}, async (page) => {
  assert.equal(await page.locator('#dyno').count(), 0);
});
