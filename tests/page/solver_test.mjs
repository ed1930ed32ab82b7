// The solver in WebAssembly computes what the program computes: ten operating points of three
// shipped cases, every figure, in a worker of a page without a server.
//
//   PULSEWRIGHT         the program
//   PULSEWRIGHT_CASES   folder of the shipped cases
//   LIVE_SCRIPT, LIVE_WASM   the module
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { readFileSync, writeFileSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { after, before, test } from 'node:test';
import { open, start, stop } from './browser.mjs';

const cellSize = '30 mm'; // the coarse grid of the page
const points = [
  ['single-cylinder', '0.8 m', 4000],
  ['single-cylinder', 'megaphone', 7000],
  ['inline-four', 0, 5000],
  ['inline-four', 1, 6500],
  ['hillclimb-v8', 'equal-length', 4500],
  ['hillclimb-v8', 'equal-length', 7000],
  ['hillclimb-v8', '180-degree', 6000],
  ['hillclimb-v8', 'stepped-length', 5500],
  ['hillclimb-v8', '4-2-1', 5000],
  ['hillclimb-v8', 'divided-collector', 6500],
];

// The program takes log, exp and pow from the vector functions of the GNU C library, the module
// from musl: a few units of the last place apart, 4e-16, in each of up to 10^5 steps of a run that
// damps differences. So a figure agrees to `usual` of itself at the worst, and what is a difference
// of larger numbers to `difference` of these: the first pattern that fits its place counts.
const usual = 1e-10;
const difference = 1e-12;
const atmosphere = 1e5; // Pa
const absolute = [
  [/^\/ledger\/(\w+)\/imbalance$/, () => difference],
  // What is stored is the difference of two contents of the engine, several times what flows in.
  [/^\/ledger\/(\w+)\//, (point, [, line]) => 10 * difference * (Math.abs(point.ledger[line].in) + point.ledger[line].source)],
  [/cycle_noise_torque$/, (point) => difference * point.torque],
  [/(pressure|difference|depression|pmep|cycle_noise_overlap|pulse)$/, () => difference * 10 * atmosphere],
  [/(fraction|pattern_spread)$/, () => difference], // of the charge, of the mean
  [/(added_length_m\/\d+|length_to_even_m)$/, () => difference], // of tubes about a metre long
  [/./, () => 0],
];

let folder;
before(async () => {
  await start();
  folder = mkdtempSync(path.join(tmpdir(), 'pulsewright-solver-'));
});
after(async () => {
  await stop();
  rmSync(folder, { recursive: true, force: true });
});

// Script and module as the live page holds them: text in one file.
function pageWith(script, module) {
  const file = path.join(folder, 'solver.html');
  const held = (id, text) => {
    assert.ok(!text.includes('</script'));
    return `<script type="text/plain" id="${id}">${text}</script>`;
  };
  const worker = `
    let solver;
    onmessage = async ({ data }) => {
      if (data.module) {
        solver = await pulsewright({ instantiateWasm: (imports, done) => {
          WebAssembly.instantiate(data.module, imports).then((instance) => done(instance, data.module));
          return {};
        } });
        postMessage({ ready: true });
        return;
      }
      postMessage(JSON.parse(solver.ccall('answer', 'string', ['string'], [JSON.stringify(data)])));
    };`;
  writeFileSync(file, `<!doctype html><meta charset="utf-8"><title>solver</title><main>solver</main>
${held('script', script)}${held('worker', worker)}${held('module', module.toString('base64'))}`);
  return file;
}

function cases(name) {
  return path.join(process.env.PULSEWRIGHT_CASES, `${name}.toml`);
}

// Every number of two objects of the same shape: [path, one, other].
function* pairs(one, other, at = '') {
  if (typeof one !== 'object' || one === null) {
    yield [at, one, other];
    return;
  }
  assert.deepEqual(Object.keys(other ?? {}).sort(), Object.keys(one).sort(), at);
  for (const key of Object.keys(one)) yield* pairs(one[key], other[key], `${at}/${key}`);
}

// A worker with the module, and a function that hands it requests.
async function started() {
  const file = pageWith(readFileSync(process.env.LIVE_SCRIPT, 'utf8'), readFileSync(process.env.LIVE_WASM));
  const { page, troubles, close } = await open(file);
  await page.evaluate(async () => {
    const text = (id) => document.getElementById(id).textContent;
    const module = await WebAssembly.compile(Uint8Array.from(atob(text('module')), (c) => c.charCodeAt(0)));
    const url = URL.createObjectURL(new Blob([text('script'), text('worker')], { type: 'text/javascript' }));
    const worker = new Worker(url);
    window.ask = (request) =>
      new Promise((resolve) => {
        worker.onmessage = ({ data }) => resolve(data);
        worker.postMessage(request);
      });
    await window.ask({ module });
  });
  return {
    ask: (request) => page.evaluate((r) => window.ask(r), request),
    end: async () => {
      assert.deepEqual(troubles.filter((one) => !one.startsWith('request: blob:')), []);
      await close();
    },
  };
}

test('ten points of three cases, every figure', async () => {
  const { ask, end } = await started();
  let count = 0;
  let widest = 0;
  let widestAt = '';
  for (const [name, which, speed] of points) {
    const text = readFileSync(cases(name), 'utf8');
    const read = await ask({ call: 'read', text });
    assert.deepEqual(read.problems, [], name);
    const header = typeof which === 'number' ? read.case.headers[which].name : which;
    const own = await ask({ call: 'point', text, header, speed_rpm: speed, cell_size: 0.03 });
    const program = JSON.parse(
      execFileSync(process.env.PULSEWRIGHT, ['run', cases(name), '--json', '--header', header, '--speed', `${speed}`, '--cells', cellSize, '--quiet'], { encoding: 'utf8' }),
    );
    assert.equal(own.error, undefined);
    assert.deepEqual(own.faults, []);
    for (const [at, expected, found] of pairs(program, own.point)) {
      const where = `${name}, ${header}, ${speed} rpm: ${at} ${found}, the program ${expected}`;
      ++count;
      if (typeof expected !== 'number' || Number.isInteger(expected)) {
        assert.equal(found, expected, where);
        continue;
      }
      const [pattern, part] = absolute.find(([one]) => one.test(at));
      const least = part(program, at.match(pattern));
      const off = Math.abs(found - expected);
      assert.ok(off <= usual * Math.abs(expected) + least, where);
      const share = off / (usual * Math.abs(expected) + least || 1);
      if (share > widest) [widest, widestAt] = [share, where];
    }
  }
  assert.ok(count > 1000, `${count} numbers`);
  console.log(`${count} numbers, at most ${widest.toExponential(1)} of what may be: ${widestAt}`);
  await end();
});

// Numbers are read by another function there than in the program (cases/decimal_number.hpp).
test('numbers of a case file are read as the program reads them', async () => {
  const { ask, end } = await started();
  const value = (text) => ask({ call: 'value', section: 'engine', key: 'bore', text, unit: 'mm' });
  for (const [text, millimetres] of [['94 mm', 94], ['4 in', 101.6], ['1-7/8 in', 47.625], ['1e2 mm', 100], ['.5 in', 12.7]]) {
    const { in_unit: found, error } = await value(text);
    assert.ok(Math.abs(found - millimetres) <= 1e-12 * millimetres, `${text}: ${found} ${error}`);
  }
  for (const text of ['0x10 mm', '1e400 mm', 'nan mm', 'inf mm', '1..2 mm', '1e mm', '94', 'mm', '']) {
    assert.ok((await value(text)).error, text);
  }
  await end();
});
