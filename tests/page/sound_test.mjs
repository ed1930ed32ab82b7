// The section of the sound: its numbers against what the command prints, its players by what the browser
// decodes of them.
import assert from 'node:assert/strict';
import { after, before } from 'node:test';
import { cells, charts, choose, engine, expected, fixed, on, settle, start, stop } from './browser.mjs';

before(start);
after(stop);

on('the section of the sound shows what the command prints, and its players play', 'engine.html', {}, async (page) => {
  const { headers } = expected.sound;
  await page.locator('#sound details').first().evaluate((box) => { box.open = true; });
  await settle(page);
  const levels = await cells(page, '[data-numbers="sound-level"]');
  engine.speeds.forEach((speed, s) => {
    assert.equal(levels[s][0], String(Math.round(speed)));
    headers.forEach(({ points }, i) => {
      assert.ok(levels[s][i + 1].startsWith(fixed(points[s].level_dba, 1)), `${levels[s][i + 1]} for ${points[s].level_dba}`);
    });
  });
  const rows = await cells(page, '.players');
  headers.forEach(({ name, band }, i) => {
    assert.equal(rows[i][0], name);
    assert.equal(rows[i][4], band.strongest_orders.join(', ') || '–');
    if (band.points > 0) assert.equal(rows[i][2], fixed(band.level_dba, 1));
  });
  // Six seconds of each header, decoded by the browser, at one gain: the loudest has the peak.
  const played = await page.$$eval('.players audio', (all) =>
    Promise.all(
      all.map(async (player) => {
        const bytes = Uint8Array.from(atob(player.src.split(',')[1]), (c) => c.charCodeAt(0));
        const sound = await new OfflineAudioContext(1, 1, 16000).decodeAudioData(bytes.buffer);
        const samples = sound.getChannelData(0);
        return { seconds: sound.duration, peak: samples.reduce((most, p) => Math.max(most, Math.abs(p)), 0) };
      })
    )
  );
  assert.equal(played.length, headers.length);
  for (const { seconds, peak } of played) {
    assert.ok(Math.abs(seconds - 6) < 0.01, `${seconds} s`);
    assert.ok(peak > 0.1 && peak < 0.9, `peak ${peak}`);
  }
  assert.ok(Math.abs(Math.max(...played.map(({ peak }) => peak)) - 10 ** (-1 / 20)) < 0.02);
  assert.match(await page.textContent('#sound'), /Noise law differs/);
});

on('the map of orders goes with the header', 'engine.html', {}, async (page) => {
  const prints = [];
  for (const header of ['0', '1', '0']) {
    await choose(page, 'Map of', header);
    prints.push((await charts(page)).orders.print);
  }
  assert.notEqual(prints[0], prints[1]);
  assert.equal(prints[0], prints[2]);
});

on('a file whose texts were changed says why it has no sound', 'hostile.html', {}, async (page) => {
  assert.match(await page.textContent('#sound'), /No sound: /);
});
