// The page by keyboard and screen reader, in light and dark theme, on a phone and in print; and with
// hostile texts and incomplete results.
import assert from 'node:assert/strict';
import { after, before } from 'node:test';
import { inflateSync } from 'node:zlib';
import { blue, charts, choose, colourRules, expected, on, pixelsOf, press, settle, start, stop, violations } from './browser.mjs';

const phone = { width: 360, height: 740, scale: 2 };

before(start);
after(stop);

function ground(page) {
  return page.evaluate(() => getComputedStyle(document.body).backgroundColor.match(/\d+/g).map(Number));
}

// Elements beyond the right edge of the window, except those inside a scrolling frame.
function tooWide(page) {
  return page.evaluate(() => {
    const inFrame = (element) => element.closest('.scroll, pre, nav ul, .tip, .hidden, [aria-live]');
    return [...document.body.querySelectorAll('*')]
      .filter((e) => e.getBoundingClientRect().right > innerWidth + 1 && !inFrame(e))
      .map((e) => `${e.tagName}.${e.className.baseVal ?? e.className}`)
      .slice(0, 5);
  });
}

// The drawing commands of a PDF file: its compressed streams, unpacked.
function drawing(pdf) {
  const text = pdf.toString('latin1');
  const parts = [];
  for (const { 0: mark, index } of text.matchAll(/stream\r?\n/g)) {
    const begin = index + mark.length;
    try {
      parts.push(inflateSync(pdf.subarray(begin, text.indexOf('endstream', begin))).toString('latin1'));
    } catch {
      // not compressed this way: a font or an index
    }
  }
  return parts.join('\n');
}

for (const [name, options] of [['on a screen', {}], ['on a phone', phone]]) {
  on(`axe-core finds nothing serious, ${name}`, 'engine.html', options, async (page) => {
    for (const details of await page.$$('details')) await details.evaluate((box) => (box.open = true));
    await settle(page);
    assert.deepEqual(await violations(page), []);
    await press(page, 'Cylinders shown', 'All cylinders');
    assert.deepEqual(await violations(page), []);
    await page.emulateMedia({ colorScheme: 'dark' });
    await settle(page);
    assert.ok(Math.max(...(await ground(page))) < 40, 'dark');
    assert.deepEqual(await violations(page, colourRules), [], 'dark');
  });
}

on('everything can be reached and operated by keyboard', 'engine.html', {}, async (page) => {
  const reached = new Set();
  for (let i = 0; i < 400; i += 1) {
    await page.keyboard.press('Tab');
    const where = await page.evaluate(() => {
      const e = document.activeElement;
      if (e === document.body) return null;
      e.dataset.reached = '';
      const shown = getComputedStyle(e);
      return { seen: shown.outlineStyle !== 'none' && parseFloat(shown.outlineWidth) >= 1, text: `${e.tagName} ${e.textContent.slice(0, 20)}` };
    });
    if (!where) break;
    assert.ok(where.seen, `the focus can be seen on ${where.text}`);
    reached.add(where.text);
  }
  const left = await page.evaluate(() =>
    [...document.querySelectorAll('a[href], button, input, select, summary, [tabindex="0"]')]
      .filter((e) => !('reached' in e.dataset) && e.checkVisibility())
      .map((e) => e.outerHTML.slice(0, 80))
  );
  assert.deepEqual(left, []);
  assert.ok(reached.size > 40);
  await page.getByRole('button', { name: 'Inch', exact: true }).focus();
  await page.keyboard.press('Enter');
  assert.match(await page.textContent('#header-table'), /lb ft/);
  await page.locator('.chip input').first().focus();
  await page.keyboard.press('Space');
  await settle(page);
  assert.equal(await pixelsOf(page, 'torque', blue), 0);
});

on('light and dark follow the system and the choice of the reader', 'engine.html', {}, async (page) => {
  assert.ok(Math.min(...(await ground(page))) > 230, 'light');
  const light = await charts(page);
  await page.emulateMedia({ colorScheme: 'dark' });
  await settle(page);
  assert.ok(Math.max(...(await ground(page))) < 40, 'dark');
  const dark = await charts(page);
  for (const name of Object.keys(light)) assert.notEqual(dark[name].print, light[name].print, `${name} is drawn for the dark`);
  assert.equal(await pixelsOf(page, 'torque', blue), 0);
  await press(page, 'Theme', 'Light');
  assert.ok(Math.min(...(await ground(page))) > 230, 'light because the reader chose it');
  assert.ok((await pixelsOf(page, 'torque', blue)) > 100);
});

on('the page fits into 360 px', 'engine.html', phone, async (page) => {
  assert.equal(await page.evaluate(() => document.documentElement.scrollWidth), 360);
  assert.deepEqual(await tooWide(page), []);
  for (const [name, chart] of Object.entries(await charts(page))) {
    assert.ok(chart.width > 250 && chart.width < 350 && chart.ink > 1000, `${name}: ${JSON.stringify(chart)}`);
  }
  const small = await page.$$eval('button, select, .chip, input[type=range]', (all) =>
    all.filter((e) => e.offsetParent !== null && e.getBoundingClientRect().height < 24).map((e) => e.outerHTML.slice(0, 80))
  );
  assert.deepEqual(small, [], 'touch targets are 24 px high at least (WCAG 2.2, 2.5.8)');
  const verdicts = await page.$$eval('#header-table .verdict', (all) => all.map((mark) => mark.getBoundingClientRect().right));
  assert.equal(verdicts.length, 2);
  for (const right of verdicts) assert.ok(right <= 360, `the verdict ends at ${right} px`);
  const torque = await page.$eval('[data-chart="torque"]', (chart) => chart.getBoundingClientRect().top + scrollY + 0.5 * chart.clientHeight);
  assert.ok(torque < phone.height, `the middle of the torque curve is at ${torque} px`);
});

on('prints on A4', 'engine.html', { colorScheme: 'dark' }, async (page) => {
  await page.evaluate(() => {
    addEventListener('beforeprint', () => {
      const widths = [...document.querySelectorAll('canvas')].map((canvas) => canvas.clientWidth);
      window.onPaper = { theme: document.documentElement.dataset.theme, widest: Math.max(...widths), charts: widths.length };
    });
  });
  const pdf = await page.pdf({ preferCSSPageSize: true, printBackground: true });
  const text = pdf.toString('latin1');
  assert.ok(text.startsWith('%PDF-'));
  const boxes = [...text.matchAll(/\/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)\s*\]/g)];
  const sheets = await page.locator('.sheet').count(); // a page each
  assert.ok(boxes.length >= 4 + sheets && boxes.length <= 12 + sheets, `${boxes.length} pages, ${sheets} of them sheets`);
  for (const [, width, height] of boxes) {
    assert.ok(Math.abs(width - 595.3) < 1 && Math.abs(height - 841.9) < 1, `${width} by ${height} points`); // ISO 216
  }
  const onPaper = await page.evaluate(() => window.onPaper);
  assert.equal(onPaper.theme, 'light', 'print is light');
  assert.equal(onPaper.charts, 15);
  assert.ok(onPaper.widest <= 690, `${onPaper.widest} px`);
  // Charts are printed as vector lines, not as pixels: the first header's colour strokes six charts at
  // least, and the images of the wave diagram's two pipes are there.
  assert.ok((drawing(pdf).match(/\b0 \.447\d* \.69\d* RG/g) ?? []).length >= 6, 'the lines of the charts');
  assert.ok((text.match(/\/Subtype\s*\/Image/g) ?? []).length >= 2, 'the wave diagram');
  await settle(page);
  assert.equal(await page.evaluate(() => document.documentElement.dataset.theme), 'dark', 'the screen is as before');
});

// As on paper: the style sheet for print at the width between the margins of A4, and the event.
async function asOnPaper(page) {
  await page.setViewportSize({ width: 687, height: 1017 });
  await page.emulateMedia({ media: 'print' });
  await page.evaluate(() => dispatchEvent(new Event('beforeprint')));
  await settle(page);
}

for (const file of ['engine.html', 'network.html', 'many.html']) {
  on(`on paper no page is half empty, and plots fill their frames: ${file}`, file, {}, async (page) => {
    await asOnPaper(page);
    const found = await page.evaluate(() => {
      // Sheets stand on pages of their own: sheets_test.mjs.
      const all = [...document.querySelectorAll('main *')].filter((e) => e.checkVisibility() && !e.closest('#sheets'));
      const style = (e) => getComputedStyle(e);
      return {
        breaks: all.filter((e) => [style(e).breakBefore, style(e).breakAfter].includes('page')).length,
        // What cannot be cut, with the headings that must not be parted from it.
        tall: all
          .filter((e) => style(e).breakInside === 'avoid' && e.getBoundingClientRect().height > 0.4 * 1017)
          .map((e) => `${e.tagName}.${e.className.baseVal ?? e.className} ${e.getBoundingClientRect().height}`),
        plots: [...document.querySelectorAll('.plot')].map((frame) => {
          const { paddingLeft, paddingRight } = style(frame);
          return { name: frame.dataset.chart, inside: frame.clientWidth - parseFloat(paddingLeft) - parseFloat(paddingRight), plot: frame.querySelector('canvas').clientWidth };
        }),
      };
    });
    assert.equal(found.breaks, 0, 'no forced page');
    assert.deepEqual(found.tall, []);
    for (const { name, inside, plot } of found.plots) assert.ok(plot <= inside && plot > inside - 4, `${name}: ${plot} of ${inside} px`);
  });
}

on('on paper every header is drawn, and what only a screen can do is not offered', 'engine.html', {}, async (page) => {
  assert.equal(await page.locator('.header-drawing').count(), 1);
  await page.getByText('Customer, job and shop for the print').click();
  for (const [label, text] of [['Customer', 'Hill <b>Climb</b> Club'], ['Shop', 'A shop']]) await page.getByLabel(label, { exact: true }).fill(text);
  await asOnPaper(page);
  assert.equal(await page.locator('.header-drawing').count(), 3);
  const text = await page.$eval('body', (body) => body.innerText);
  for (const word of ['Drag', 'wave_speeds', '--interference', 'Customer, job and shop']) assert.ok(!text.includes(word), word);
  assert.ok(text.includes('Customer: Hill <b>Climb</b> Club · Shop: A shop'), text.slice(0, 400));
  const bottom = await page.$eval('[data-chart="torque"]', (chart) => chart.getBoundingClientRect().bottom + scrollY);
  assert.ok(bottom < 1017, 'the torque curve is on the first page');
  await page.evaluate(() => dispatchEvent(new Event('afterprint')));
  await settle(page);
  assert.equal(await page.locator('.header-drawing').count(), 1);
});

on('units, theme and the fields for the print last over a reload', 'engine.html', {}, async (page) => {
  await press(page, 'Units', 'Inch');
  await press(page, 'Theme', 'Dark');
  await page.getByText('Customer, job and shop for the print').click();
  await page.getByLabel('Job', { exact: true }).fill('17');
  await page.reload();
  await settle(page);
  assert.match(await page.textContent('#header-table'), /lb ft/);
  assert.equal(await page.evaluate(() => document.documentElement.dataset.theme), 'dark');
  assert.equal(await page.getByLabel('Job', { exact: true }).inputValue(), '17');
  // Inch units reach everything: no metric unit is left but in names of tubes and headers.
  for (const details of await page.$$('details:not(.case)')) await details.evaluate((box) => (box.open = true));
  await settle(page);
  const text = await page.$eval('body', (body) => {
    body.querySelector('.case').remove();
    return body.innerText;
  });
  assert.match(text, /29\.92 inHg, 68\.0 degF/); // 1013.25 mbar, 20 degC
  assert.match(text, /each primary longer by 0\.25 in/); // 1/4 in of the case
  assert.deepEqual(text.match(/.{0,20}\d ?(mm|N m|kW|kPa|bar|mbar|Pa|degC)\b.{0,10}/g) ?? [], []);
});

on('texts that contain markup are shown as text', 'hostile.html', phone, async (page) => {
  const title = expected.hostile_title;
  assert.equal(await page.textContent('h1'), title);
  // Browsers fold white space in the title, and U+2028 is none.
  assert.equal(await page.title(), title.replace(/[ \n]+/g, ' ').trim());
  assert.equal(await page.evaluate(() => window.hit), undefined);
  const stray = await page.evaluate(() => [
    document.querySelectorAll('img, i, b, iframe, object').length,
    document.querySelectorAll('script').length,
  ]);
  assert.deepEqual(stray, [0, 2], 'no element but those of the page');
  const names = await page.$$eval('#header-table tbody th', (all) => all.map((th) => th.textContent));
  assert.ok(names.includes(`<i>${title}`), names.join('\n'));
  assert.ok((await page.textContent('.case pre')).includes('onerror='));
  assert.equal(await page.evaluate(() => document.documentElement.scrollWidth), 360);
  assert.deepEqual(await tooWide(page), []);
  // A direction override in the title does not affect the text after it.
  assert.equal(await page.evaluate(() => getComputedStyle(document.querySelector('header .quiet')).direction), 'ltr');
  assert.deepEqual(await violations(page), []);
});

on('a run that does not repeat says so, with one speed and no merges', 'hostile.html', {}, async (page) => {
  assert.match(await page.textContent('#summary .warning'), /does not repeat from cycle to cycle/);
  assert.match(await page.textContent('#at-speed .warning'), /does not repeat/);
  assert.match(await page.textContent('#problems'), /does not repeat/);
  assert.match(await page.textContent('#merge-cards'), /No merge of two or more pulses/);
  assert.match(await page.textContent('#interference'), /Not computed for this file.*at most about [\d.]+ s of computing/);
  const drawn = await charts(page);
  for (const name of ['torque', 'port', 'cylinder']) assert.ok(drawn[name].ink > 1000, name);
});

on('a damaged point is named and left out', 'damaged.html', {}, async (page) => {
  const named = `header '${expected.damaged.header}' at 5000 rpm: torque is damaged`;
  assert.match(await page.textContent('#summary .warning'), /1 point of the file is damaged and left out/);
  assert.ok((await page.textContent('#problems')).includes(`Damaged in the file, left out: ${named}`));
  await choose(page, 'Header', '0');
  await page.$eval('#speed-slider', (slider) => {
    slider.value = 0;
    slider.dispatchEvent(new Event('input'));
  });
  await settle(page);
  assert.ok((await page.textContent('#at-speed .warning')).includes(named));
});

on('missing points are listed and left out', 'bare.html', {}, async (page) => {
  const { missing } = expected.bare;
  assert.ok(missing > 0);
  const listed = await page.$$eval('#problems li', (all) => all.filter((li) => /not computed/.test(li.textContent)).length);
  assert.equal(listed, missing);
  assert.match(await page.textContent('#summary .warning'), /missing/);
  const count = await page.$eval('#speed-slider', (slider) => Number(slider.max) + 1);
  for (let c = 0; c < 3; c += 1) {
    await choose(page, 'Header', String(c));
    for (let s = 0; s < count; s += 1) {
      await page.$eval('#speed-slider', (slider, value) => {
        slider.value = value;
        slider.dispatchEvent(new Event('input'));
      }, s);
      await settle(page);
    }
  }
  assert.match(await page.textContent('#at-speed'), /has not been computed/);
});
