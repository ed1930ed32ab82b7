// Contents and controls of the page: charts by their pixels, numbers compared with those that h5py
// reads from the results file.
import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { after, before } from 'node:test';
import { blue, cells, charts, choose, engine, expected, fixed, mean, on, orange, pixelsOf, press, settle, signed, start, stop } from './browser.mjs';

const allCharts = ['torque', 'difference', 'power', 'volumetric_efficiency', 'charging_efficiency', 'overlap_exhaust_pressure', 'residual_fraction',
  'pmep', 'sound-level', 'orders', 'port', 'cylinder', 'arrivals-0', 'arrivals-1', 'wave'];

before(start);
after(stop);

on('every chart is drawn', 'engine.html', {}, async (page) => {
  const drawn = await charts(page);
  assert.deepEqual(Object.keys(drawn).sort(), [...allCharts].sort());
  for (const [name, chart] of Object.entries(drawn)) {
    // Axis labels alone are less ink and fewer colours.
    assert.ok(chart && chart.ink > 1500 && chart.colours > 20, `${name}: ${JSON.stringify(chart)}`);
  }
  assert.ok(drawn.wave.ink > 0.7 * 400 * drawn.wave.width, 'the wave diagram fills its frame');
  for (const name of allCharts.slice(0, 7).filter((one) => one !== 'difference')) {
    assert.ok((await pixelsOf(page, name, blue)) > 100, `${name} has the line of the first header`);
    assert.ok((await pixelsOf(page, name, orange)) > 50, `${name} has the line of the second header`);
  }
  assert.equal(await page.locator('.circle .pulse').count(), 8, 'eight pulses on two circles');
  await choose(page, 'Header', '0');
  assert.equal(await page.locator('.header-drawing .tube').count(), 10, 'eight primaries, two collectors with tails');
  assert.equal(await page.locator('.face .tube').count(), 8);
});

// Headers by mean torque, the best first: speeds 5000 and 6000 rpm weigh the same in the band.
const ranked = engine.headers.map((_, c) => c).sort((a, b) => mean(engine.headers[b].figures.torque) - mean(engine.headers[a].figures.torque));
const [best] = ranked;

on('the tables of headers show the numbers of the results file, in the order of the ranking', 'engine.html', {}, async (page) => {
  for (const [units, torque, power, pressure, digits] of [['Metric', 1, 1e-3, 1e-3, 1], ['Inch', 1 / 1.3558179483, 1 / 745.69987158, 1 / 6894.757293, 2]]) {
    await press(page, 'Units', units);
    const rows = await cells(page, '#header-table');
    const air = await cells(page, '#air-table');
    assert.equal(rows.length, engine.headers.length);
    ranked.forEach((c, place) => {
      const header = engine.headers[c];
      const { figures } = header;
      const peak = (values) => engine.speeds[values.indexOf(Math.max(...values))];
      const row = rows[place];
      assert.equal(row[0], header.name);
      assert.equal(row[2], fixed(torque * mean(figures.torque), 1));
      assert.equal(row[3], fixed(power * mean(figures.power), 1));
      assert.equal(row[4], `${fixed(torque * Math.max(...figures.torque), 1)} at ${peak(figures.torque)}`);
      assert.equal(row[5], `${fixed(power * Math.max(...figures.power), 1)} at ${peak(figures.power)}`);
      assert.equal(air[place][0], header.name);
      assert.ok(air[place][1].startsWith(`${fixed(100 * mean(figures.volumetric_efficiency), 1)} (`), air[place][1]);
      assert.equal(air[place][2], fixed(100 * mean(figures.residual_fraction), 2));
      assert.ok(air[place][3].startsWith(`${signed(pressure * mean(figures.overlap_exhaust_pressure), digits)} (`), air[place][3]);
      assert.equal(air[place][4], signed(pressure * mean(header.depression), digits));
      assert.equal(air[place][5], fixed(mean(header.depression_angle), 0));
      if (c !== best) {
        const difference = torque * (mean(figures.torque) - mean(engine.headers[best].figures.torque));
        assert.ok(row[1].startsWith(`${signed(difference, 1)} (`), row[1]);
        assert.match(row[1], /provisional$/); // of a quick study
      } else {
        assert.equal(row[1], 'most torque');
      }
    });
  }
});

on('what makes the difference stands part by part', 'split.html', {}, async (page) => {
  const { best: first, sign, pair } = expected.split;
  const share = (part, factor) => {
    const { torque, low, high } = pair.split.shares[part];
    const [from, to] = sign > 0 ? [low, high] : [-high, -low];
    return `${signed(factor * sign * torque, 1)} (${signed(factor * from, 1)} to ${signed(factor * to, 1)})`;
  };
  for (const [units, factor] of [['Metric', 1], ['Inch', 1 / 1.3558179483]]) {
    await press(page, 'Units', units);
    const [leader, other] = await cells(page, '#split-table');
    assert.deepEqual(leader, [first, '–', '–', '–', '–']);
    assert.deepEqual(other.slice(1), [signed(factor * sign * pair.torque.value, 1), share('length', factor), share('kind', factor), signed(factor * sign * pair.split.rest, 1)]);
  }
  assert.deepEqual(await page.$$eval('#split-table thead th', (all) => all.map((one) => one.firstChild.textContent)), ['Header', 'Difference from ', 'Length', 'Kind', 'Not split']);
});

on('headers that differ in one part owe all to it', 'many.html', {}, async (page) => {
  const rows = await cells(page, '#split-table');
  assert.equal(rows.length, 12);
  for (const row of rows.slice(1)) {
    assert.equal(row[2], row[1]);
    assert.equal(row[3], '0.0');
  }
});

on('the second figure is the difference from the chosen reference', 'engine.html', {}, async (page) => {
  const read = async () => {
    await page.focus('[data-chart="difference"]');
    await page.keyboard.press('Home');
    await settle(page);
    return page.$eval('[data-chart="difference"] .tip', (box) => [...box.children].map((line) => line.textContent));
  };
  for (const reference of [0, 2, 1]) {
    await choose(page, 'from', String(reference));
    const of = engine.headers.filter((_, c) => c !== reference);
    const less = engine.headers[reference].figures.torque[0];
    assert.deepEqual(await read(), ['5000 rpm', ...of.map(({ name, figures }) => `${name} ${signed(figures.torque[0] - less, 1)} N m`)]);
    const caption = await page.$$eval('figcaption', (all) => all.map((one) => one.textContent).find((text) => text.startsWith('Difference')));
    assert.equal(caption, `Difference in torque from ${engine.headers[reference].name}`);
  }
  assert.equal(await pixelsOf(page, 'difference', orange), 0, 'the reference has no line');
  assert.ok((await pixelsOf(page, 'difference', blue)) > 50);
});

on('a closer look opens on the best header', 'engine.html', {}, async (page) => {
  assert.match(await page.textContent('#pulses h3'), new RegExp(`${engine.headers[best].name} at 6000`));
  assert.equal(await page.getByLabel('Header', { exact: true }).inputValue(), String(best));
});

on('points that do not count are grey', 'hostile.html', {}, async (page) => {
  for (const colour of [blue, orange]) assert.equal(await pixelsOf(page, 'torque', colour), 0);
  assert.ok((await pixelsOf(page, 'torque', '#56606b')) > 10, 'grey marks');
  await page.focus('[data-chart="torque"]');
  await page.keyboard.press('Home');
  await settle(page);
  assert.match(await page.textContent('#reading'), /does not repeat, does not count/);
});

on('the summary names every header', 'engine.html', {}, async (page) => {
  const text = await page.$eval('#headline', (p) => p.parentElement.innerText);
  for (const { name } of engine.headers) assert.ok(text.includes(name), name);
  assert.match(text, /over 5000 to 6000.rpm/i);
  assert.match(text, /Provisional, no verdict/); // a quick study
  assert.doesNotMatch(await page.$eval('body', (body) => body.innerText), / --[a-z]/, 'no options of commands');
});

on('numbers over speed are those of the results file', 'engine.html', {}, async (page) => {
  const units = { torque: [1, 1], power: [1e-3, 1], pmep: [1e-3, 1], overlap_exhaust_pressure: [1e-3, 1] };
  for (const summary of await page.$$('#summary .cell details > summary, #over-speed details > summary')) await summary.click();
  for (const [figure, values] of Object.entries(engine.headers[0].figures)) {
    const [factor, digits] = units[figure] ?? [100, 2];
    const rows = await cells(page, `[data-numbers="${figure}"]`);
    assert.equal(rows.length, values.length);
    rows.forEach((row, s) => {
      assert.equal(row[0], String(engine.speeds[s]));
      engine.headers.forEach((header, c) => {
        const value = factor * header.figures[figure][s];
        assert.ok(row[c + 1].startsWith(`${fixed(value, digits)} (`), `${figure}: ${row}`);
        // Without noise from cycle to cycle the band is the error of the grid: Roache's index for two
        // grids of ratio 3 and the order 1, 3 / (3 - 1) of the change between them.
        // At one speed the largest of it and its neighbours counts.
        if (figure === 'pmep') {
          const grid = Math.max(...engine.speeds.map((_, k) => 1.5 * factor * Math.abs(header.figures[figure][k] - header.coarse[figure][k])));
          assert.equal(row[c + 1], `${fixed(value, digits)} (${fixed(value - grid, digits)} to ${fixed(value + grid, digits)})`);
        }
      });
    });
  }
  await choose(page, 'Values for', '2');
  const rows = await cells(page, '[data-numbers="volumetric_efficiency"]');
  rows.forEach((row, s) => assert.equal(row[2], fixed(100 * engine.headers[1].by_cylinder.volumetric_efficiency[s][2], 2)));
});

on('the slider and the choice of header change every section on one header', 'engine.html', {}, async (page) => {
  await choose(page, 'Header', '0');
  const state = async () => ({
    charts: await charts(page),
    reading: await page.$eval('#at-speed .reading', (p) => p.textContent),
    merges: await page.$eval('#merge-cards', (box) => box.textContent),
    matrix: await page.$eval('#interference-matrix', (box) => box.textContent),
    drawing: await page.$eval('#drawing', (box) => box.textContent),
    ledger: await page.$eval('#ledger-table', (box) => box.textContent),
  });
  const s = Number(await page.$eval('#speed-slider', (slider) => slider.value));
  assert.equal(s, 1, 'it starts at the speed nearest to the middle of the band');
  const first = await state();
  await page.focus('#speed-slider');
  await page.keyboard.press('ArrowLeft');
  await settle(page);
  assert.equal(await page.$eval('#speed-shown', (output) => output.textContent), '5000 rpm');
  assert.equal(await page.getAttribute('#speed-slider', 'aria-valuetext'), '5000 rpm');
  const second = await state();
  await choose(page, 'Header', '1');
  const third = await state();
  for (const [a, b] of [[first, second], [second, third]]) {
    for (const part of ['reading', 'merges', 'matrix', 'ledger']) assert.notEqual(a[part], b[part], part);
    for (const chart of ['port', 'cylinder', 'wave']) assert.notEqual(a.charts[chart].print, b.charts[chart].print, chart);
  }
  assert.equal(first.charts.torque.print, second.charts.torque.print, 'the charts over speed stay at another speed');
  assert.notEqual(second.charts.torque.print, third.charts.torque.print, 'the band goes to the selected header');
  assert.notEqual(second.drawing, third.drawing);
  const { by_cylinder: by } = engine.headers[1];
  assert.equal(third.reading,
    `Cylinder 1: pressure during overlap ${fixed(by.overlap_exhaust_pressure[0][0] / 1000, 1)} kPa gauge, ` +
    `volumetric efficiency ${fixed(100 * by.volumetric_efficiency[0][0], 1)} %, ` +
    `residual gas ${fixed(100 * by.residual_fraction[0][0], 2)} %, IMEP ${fixed(by.imep[0][0] / 1e5, 2)} bar.`);
});

on('controls change what is shown', 'engine.html', {}, async (page) => {
  await choose(page, 'Header', '0');
  const before = await charts(page);
  const box = page.locator('.chip input').first();
  await box.uncheck();
  await settle(page);
  assert.equal(await pixelsOf(page, 'torque', blue), 0, 'a header that is switched off is gone');
  await box.check();
  await settle(page);
  assert.ok((await pixelsOf(page, 'torque', blue)) > 100);
  for (const band of ['Cylinders', 'No band']) {
    const last = await charts(page);
    await press(page, 'Band around each line', band);
    assert.notEqual((await charts(page)).overlap_exhaust_pressure.print, last.overlap_exhaust_pressure.print, band);
  }
  await choose(page, 'Cylinder', '3');
  assert.notEqual((await charts(page)).port.print, before.port.print, 'another cylinder');
  await choose(page, 'Compare with', '1');
  assert.match(await page.textContent('#at-speed .legend'), /exhaust port, 180-degree/);
  await press(page, 'Cylinders shown', 'All cylinders');
  const small = Object.entries(await charts(page)).filter(([name]) => /^port-\d$/.test(name));
  assert.equal(small.length, 8);
  for (const [name, chart] of small) assert.ok(chart.ink > 1000 && chart.colours > 10, name);
  // The banks of an even V8 are alike, half a cycle apart; the four cylinders of a bank are not.
  assert.ok(new Set(small.map(([, chart]) => chart.print)).size >= 4, 'cylinders have traces of their own');
  assert.match(await page.textContent('#drawing'), /813 mm, 1-7\/8 in OD, 16 ga/); // 32 in, of the case
  await press(page, 'Units', 'Inch');
  assert.match(await page.textContent('#header-table'), /lb ft/);
  assert.match(await page.textContent('#drawing'), /32\.0 in/);
  await press(page, 'Theme', 'Dark');
  assert.equal(await page.evaluate(() => document.documentElement.dataset.theme), 'dark');
});

on('pulses at the merge are those of the results file', 'engine.html', {}, async (page) => {
  for (const [c, header] of engine.headers.entries()) {
    await choose(page, 'Header', String(c));
    const s = 1;
    const cards = await page.$$eval('#merge-cards .card', (all) =>
      all.map((card) => ({
        name: card.dataset.merge,
        values: [...card.querySelectorAll('dd')].map((dd) => dd.textContent),
        even: card.querySelector('p').textContent,
      }))
    );
    assert.deepEqual(cards.map((card) => card.name), header.merge_names);
    cards.forEach(({ values, even }, m) => {
      const merge = Object.fromEntries(Object.entries(header.merges).map(([name, all]) => [name, all[s][m]]));
      const n = merge.cylinder.filter((number) => number > 0).length;
      assert.equal(values[0], merge.cylinder.slice(0, n).join(' – '));
      assert.equal(values[1], `${merge.gap.slice(0, n).map((gap) => fixed(gap, 0)).join(' / ')} deg`);
      assert.equal(values[2], fixed(merge.evenness, 2));
      assert.equal(values[3], `${fixed(merge.degrees_per_metre / 100, 2)} deg`);
      assert.equal(values.length, 4);
      const length = 1000 * merge.length_to_even;
      if (length < 5) assert.equal(even, 'The gaps are equal.');
      else assert.ok(even.includes(` ${fixed(length, 0)} mm longer than the shortest`), even);
    });
  }
  assert.equal(await page.locator('#merge-map').count(), 0, 'the map is folded');
  await page.click('#evenness-map summary');
  await settle(page);
  const map = await cells(page, '#merge-map');
  assert.equal(map.length, engine.headers.reduce((sum, header) => sum + header.merge_names.length, 0));
  assert.deepEqual(map[2].slice(1), ['1.00', '1.00'], 'the 180-degree header of an even V8 is even');
  await page.locator('#merge-map .map-cell').first().click();
  await settle(page);
  assert.match(await page.textContent('#pulses h3'), /equal-length at 5000 rpm/);
});

on('the interference matrix is that of the results file', 'engine.html', {}, async (page) => {
  for (const [c, header] of engine.headers.entries()) {
    await choose(page, 'Header', String(c));
    const rows = await cells(page, '#interference-matrix');
    header.interference[1].forEach((row, j) => {
      assert.equal(rows[j][0], String(header.cylinders[j]));
      assert.deepEqual(rows[j].slice(1), row.map((pascal) => signed(pascal / 1000, 1)));
    });
  }
  assert.match(await page.textContent('#interference'), /Time: [\d.]+ s for this point/);
});

on('values under the cursor are those of the results file', 'engine.html', {}, async (page) => {
  await choose(page, 'Header', '0');
  const [header] = engine.headers;
  const s = 1;
  const read = async (chart, keys) => {
    await page.focus(`[data-chart="${chart}"]`);
    for (const key of keys) await page.keyboard.press(key);
    await settle(page);
    const tip = await page.$eval(`[data-chart="${chart}"] .tip`, (box) => [...box.children].map((line) => line.textContent));
    const spoken = await page.textContent('#reading');
    for (const line of tip) assert.ok(spoken.includes(line), `${line} is read out: ${spoken}`);
    return tip;
  };
  assert.deepEqual(await read('torque', ['Home', 'ArrowRight']), [
    '6000 rpm',
    ...engine.headers.map(({ name, figures }) => `${name} ${fixed(figures.torque[s], 1)} N m`),
  ]);
  // Ten degrees to a key, thirty to a value that is known.
  for (let k = 0; k < 24; k += 5) {
    const at = (name) => header.traces[name][s][0][k];
    const tip = await read('port', ['Home', ...Array(3 * k).fill('ArrowRight')]);
    const expected = {
      'exhaust port': at('exhaust_pressure') - engine.ambient,
      'intake port': at('intake_pressure') - engine.ambient,
      'outgoing wave': at('exhaust_outgoing'),
      'returning wave': at('exhaust_returning'),
    };
    assert.equal(tip[0], `${30 * k} deg`);
    Object.entries(expected).forEach(([name, pascal], i) => {
      const [, value] = tip[i + 1].match(new RegExp(`^${name} (-?[\\d.]+) kPa$`));
      // Shown to 0.1 kPa, of values rounded to 10 Pa.
      assert.ok(Math.abs(Number(value) - pascal / 1000) <= 0.0551, `${tip[i + 1]}: ${pascal}`);
    });
    const [, line] = await read('cylinder', ['Home', ...Array(3 * k).fill('ArrowRight')]);
    const [, bar] = line.match(/^cylinder ([\d.]+) bar$/);
    assert.ok(Math.abs(Number(bar) - at('cylinder_pressure') / 1e5) <= 0.0101, `${line}: ${at('cylinder_pressure')}`);
  }
});

on('the wave diagram can be read, moved and zoomed, smoothly', 'engine.html', {}, async (page) => {
  await choose(page, 'Header', '0');
  await page.focus('[data-chart="wave"]');
  const first = (await charts(page)).wave.print;
  await page.keyboard.press('ArrowRight');
  const tip = () => page.$eval('[data-chart="wave"] .tip', (box) => [...box.children].map((line) => line.textContent));
  const [place, value] = await tip();
  const [, angle, millimetres] = place.match(/^(\d+) deg, (\d+) mm$/);
  const { distance, pressure, speed } = engine.headers[0].diagram;
  assert.ok(Number(millimetres) > 0 && Number(millimetres) < 1000 * distance[distance.length - 1]);
  assert.match(value, /^-?[\d.]+ kPa gauge$/);
  assert.equal(Number(angle) % 1, 0);
  assert.ok(speed.includes(6000) && pressure.length === speed.length);
  await page.keyboard.press('ArrowUp');
  assert.notEqual((await tip())[0], place, 'up is another distance');
  for (const key of ['+', 'Shift+ArrowRight', '-']) {
    const last = (await charts(page)).wave.print;
    await page.keyboard.press(key);
    await settle(page);
    assert.notEqual((await charts(page)).wave.print, last, key);
  }
  await page.getByRole('button', { name: 'Whole cycle' }).click();
  await settle(page);
  const frame = await page.locator('[data-chart="wave"]').boundingBox();
  await page.mouse.move(frame.x + 300, frame.y + 100);
  await page.mouse.down();
  await page.mouse.move(frame.x + 200, frame.y + 100, { steps: 5 });
  await page.mouse.up();
  await page.mouse.move(5, 5);
  await settle(page);
  assert.notEqual((await charts(page)).wave.print, first, 'dragging pans');
  // The time per frame is printed and not asserted.
  const perStep = await page.evaluate(async () => {
    const target = document.querySelector('[data-chart="wave"]');
    const begin = performance.now();
    for (let i = 0; i < 40; i += 1) {
      target.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowRight', shiftKey: true, bubbles: true }));
      await Promise.resolve();
      window.copyOf(target.querySelector('canvas')); // waits for the drawing
    }
    return (performance.now() - begin) / 40;
  });
  console.log(`# ${perStep.toFixed(1)} ms to draw the diagram anew`);
});

on('the button saves the table of all headers and speeds in the chosen units', 'engine.html', {}, async (page) => {
  for (const [units, factor, name] of [['Inch', 1 / 1.3558179483, 'torque, lb ft'], ['Metric', 1, 'torque, N m']]) {
    await press(page, 'Units', units);
    const [download] = await Promise.all([page.waitForEvent('download'), page.locator('#save-table').click()]);
    assert.equal(download.suggestedFilename(), 'headers.csv');
    const [head, ...rows] = (await readFile(await download.path(), 'utf8')).trimEnd().split('\r\n');
    assert.ok(head.startsWith(`header,"speed, rpm",counts,"${name}"`), head);
    assert.equal(rows.length, engine.headers.length * engine.speeds.length);
    rows.forEach((row, k) => {
      const header = engine.headers[Math.floor(k / engine.speeds.length)];
      const s = k % engine.speeds.length;
      const [title, speed, , torque] = row.split(',');
      assert.equal(title, header.name);
      assert.equal(Number(speed), engine.speeds[s]);
      assert.equal(torque, fixed(factor * header.figures.torque[s], 2));
    });
  }
});
