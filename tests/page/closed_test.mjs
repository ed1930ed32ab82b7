// Nothing leaves a page: what its scripts and workers try to fetch is refused by its policy, in the
// report and in the live page. A server on this machine counts what arrives.
//
//   PULSEWRIGHT              the program
//   PULSEWRIGHT_SOURCE_DIR   the source tree
import assert from 'node:assert/strict';
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:http';
import os from 'node:os';
import path from 'node:path';
import { after, before, test } from 'node:test';
import { open, start, stop } from './browser.mjs';

const folder = mkdtempSync(path.join(os.tmpdir(), 'closed-'));
const cases = path.join(process.env.PULSEWRIGHT_SOURCE_DIR, 'cases');
let arrived = 0;
const server = createServer((request, response) => {
  arrived += 1;
  response.writeHead(200, { 'Access-Control-Allow-Origin': '*' });
  response.end('here');
});
const address = () => `http://127.0.0.1:${server.address().port}/`;

before(async () => {
  const run = (...words) => {
    const done = spawnSync(process.env.PULSEWRIGHT, words, { encoding: 'utf8', cwd: folder });
    assert.equal(done.status, 0, done.stderr);
  };
  run('live', path.join(cases, 'single-cylinder.toml'), '-o', 'live.html');
  run('compare', path.join(cases, 'single-cylinder.toml'), '--quick', '--speeds', '5000', '--cells', '60 mm', '--quiet', '-o', 'study.h5', '--report', 'report.html');
  writeFileSync(path.join(folder, 'open.html'), '<!doctype html><title>open</title><main>open</main>');
  await new Promise((ready) => server.listen(0, '127.0.0.1', ready));
  await start();
});
after(async () => {
  await stop();
  server.close();
  rmSync(folder, { recursive: true });
});

// What comes of fetch, an image and a worker of the page that fetches: 'here' where it arrives.
function tried(page) {
  return page.evaluate(async (url) => {
    const fetched = () => fetch(url).then((answer) => answer.text(), () => 'refused');
    const image = new Promise((done) => {
      const one = new Image();
      one.onload = one.onerror = () => done();
      one.src = `${url}image`;
    });
    const source = `fetch(${JSON.stringify(url)}).then((a) => a.text(), () => 'refused').then((text) => postMessage(text));`;
    const worker = new Promise((done) => {
      let one;
      try {
        one = new Worker(URL.createObjectURL(new Blob([source], { type: 'text/javascript' })));
      } catch {
        done('no worker');
        return;
      }
      one.onmessage = ({ data }) => done(data);
      one.onerror = () => done('no worker');
    });
    await image;
    return { page: await fetched(), worker: await worker };
  }, address());
}

for (const name of ['live.html', 'report.html']) {
  test(`nothing leaves ${name}`, async () => {
    const { page, close } = await open(path.join(folder, name));
    const before = arrived;
    const found = await tried(page);
    assert.equal(found.page, 'refused');
    assert.ok(['refused', 'no worker'].includes(found.worker), found.worker);
    assert.equal(arrived, before);
    await close();
  });
}

test('from a page without a policy all of it arrives', async () => {
  const { page, close } = await open(path.join(folder, 'open.html'));
  const before = arrived;
  assert.deepEqual(await tried(page), { page: 'here', worker: 'here' });
  assert.equal(arrived, before + 3);
  await close();
});
