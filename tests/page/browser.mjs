// A headless browser, and functions that read a page which is open in it.
//
//   PAGE_PACKAGES   folder of node_modules with playwright-core and axe-core
//   CHROMIUM        the browser
//   PAGES           folder of the pages and expected numbers that make_pages.py makes; not needed by
//                   tests with a page of their own
import assert from 'node:assert/strict';
import { createRequire } from 'node:module';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { test } from 'node:test';
import { pathToFileURL } from 'node:url';

const packages = process.env.PAGE_PACKAGES;
if (!packages || !process.env.CHROMIUM) throw new Error('PAGE_PACKAGES and CHROMIUM must be set');
const load = createRequire(path.resolve(packages, 'package.json'));
const { chromium } = load('playwright-core');
const axeSource = readFileSync(load.resolve('axe-core/axe.min.js'), 'utf8');

let browser = null;

export async function start() {
  browser = await chromium.launch({
    executablePath: process.env.CHROMIUM,
    args: ['--no-sandbox', '--disable-dev-shm-usage', '--disable-gpu'],
  });
}

export async function stop() {
  idle = null;
  await browser?.close();
}

// The page that was closed last, to be used again: a fresh one takes the browser as long as the page
// itself takes to be drawn.
let idle = null;

// A page of its own storage, with the functions that tests call in it.
async function freshPage(scale, init) {
  const context = await browser.newContext({ deviceScaleFactor: scale });
  const page = await context.newPage();
  const one = { context, page, scale, url: '', troubles: [] };
  page.on('console', (message) => {
    if (['error', 'warning', 'assert'].includes(message.type())) one.troubles.push(`${message.type()}: ${message.text()}`);
  });
  page.on('pageerror', (error) => one.troubles.push(`exception: ${error.message}`));
  page.on('request', (request) => {
    if (request.url() !== one.url && !/^(data|blob):/.test(request.url())) one.troubles.push(`request: ${request.url()}`);
  });
  page.on('dialog', (dialog) => {
    one.troubles.push(`dialog: ${dialog.message()}`);
    dialog.dismiss();
  });
  // Pixels are read from a copy, so that the canvases of the page are not changed.
  await page.addInitScript(() => {
    window.copyOf = (canvas) => {
      const copy = new OffscreenCanvas(canvas.width, canvas.height).getContext('2d', { willReadFrequently: true });
      copy.drawImage(canvas, 0, 0);
      return copy.getImageData(0, 0, canvas.width, canvas.height);
    };
  });
  if (init) await page.addInitScript(init);
  return one;
}

// Empties its storage and keeps it for the next test.
async function release(one) {
  for (const other of one.context.pages()) if (other !== one.page) await other.close();
  await one.page.evaluate(() => {
    localStorage.clear();
    sessionStorage.clear();
  });
  await one.page.mouse.move(0, 0);
  one.troubles = [];
  if (idle) await idle.context.close();
  idle = one;
}

// Opens a page and waits until its charts are drawn. `troubles` collects what must not happen:
// warnings, errors, exceptions, dialogs, and requests for anything but the file itself.
export async function open(file, { width = 1200, height = 900, colorScheme = 'light', scale = 1, init } = {}) {
  let one = null;
  if (idle && idle.scale === scale && !init) {
    one = idle;
    idle = null;
  } else {
    one = await freshPage(scale, init);
  }
  const { page, troubles } = one;
  await page.setViewportSize({ width, height });
  // Without smooth scrolling, which takes longer than what most tests do.
  await page.emulateMedia({ media: null, colorScheme, reducedMotion: 'reduce' });
  one.url = pathToFileURL(file).href;
  await page.goto(one.url);
  await page.waitForSelector('main');
  await settle(page);
  return { page, troubles, close: () => (init ? one.context.close() : release(one)) };
}

// Waits two frames, for resize observers and drawing.
export function settle(page) {
  return page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done()))));
}

// For every chart on the page: number of drawn pixels, number of colours, and a fingerprint.
export function charts(page) {
  return page.evaluate(() =>
    Object.fromEntries(
      [...document.querySelectorAll('[data-chart]')].map((frame) => {
        const canvas = frame.querySelector('canvas');
        if (!canvas) return [frame.dataset.chart, null];
        const { data } = window.copyOf(canvas);
        const colours = new Map();
        let print = 0;
        for (let i = 0; i < data.length; i += 4) {
          if (data[i + 3] === 0) continue;
          const colour = (data[i] << 16) | (data[i + 1] << 8) | data[i + 2];
          if (data[i + 3] > 200) colours.set(colour, (colours.get(colour) ?? 0) + 1);
          print = (Math.imul(print, 31) + Math.imul(colour, i + 1)) | 0;
        }
        const ink = [...colours.values()].reduce((sum, n) => sum + n, 0);
        return [frame.dataset.chart, { ink, colours: colours.size, print, width: canvas.clientWidth }];
      })
    )
  );
}

// Pixels of a chart that are close to a colour "#rrggbb".
export function pixelsOf(page, chart, colour) {
  return page.evaluate(
    ([name, expected]) => {
      const canvas = document.querySelector(`[data-chart="${name}"] canvas`);
      const { data } = window.copyOf(canvas);
      const rgb = [1, 3, 5].map((i) => parseInt(expected.slice(i, i + 2), 16));
      let count = 0;
      for (let i = 0; i < data.length; i += 4) {
        if (data[i + 3] > 200 && rgb.every((c, k) => Math.abs(c - data[i + k]) <= 10)) count += 1;
      }
      return count;
    },
    [chart, colour]
  );
}

// What may differ between a light and a dark page of the same elements.
export const colourRules = ['color-contrast', 'link-in-text-block'];

// Violations that axe-core calls serious or critical, one line each; `rules`: of these alone.
export async function violations(page, rules) {
  if (!(await page.evaluate(() => 'axe' in window))) await page.evaluate(axeSource);
  const result = await page.evaluate((only) => window.axe.run(document, { resultTypes: ['violations'], ...(only && { runOnly: only }) }), rules);
  if (result.passes.length < (rules ? 1 : 10)) throw new Error('axe-core checked almost nothing');
  return result.violations
    .filter(({ impact }) => ['serious', 'critical'].includes(impact))
    .map(({ id, nodes }) => `${id}: ${nodes.map((node) => `${node.target} (${node.any[0]?.message ?? ''})`).join('; ')}`);
}

// Cells of a table as texts, row by row, without the header row.
export function cells(page, selector) {
  return page.$$eval(`${selector} tbody tr`, (rows) =>
    rows.map((row) => [...row.children].map((cell) => cell.textContent.trim()))
  );
}

const pages = process.env.PAGES ?? '.';
export const expected = process.env.PAGES ? JSON.parse(readFileSync(path.join(pages, 'expected.json'), 'utf8')) : {};
export const { engine } = expected;

// Colours of the first and the second header on a light background, Okabe and Ito (2008).
export const blue = '#0072b2';
export const orange = '#d55e00';

// A test with a page of its own, which fails if `troubles` are found.
export function on(name, file, options, body) {
  return test(name, async () => {
    const { page, troubles, close } = await open(path.join(pages, file), options);
    try {
      await body(page);
      assert.deepEqual(troubles, []);
    } finally {
      await close();
    }
  });
}

// Numbers in the format of the page.
export function fixed(value, digits) {
  const text = value.toFixed(digits);
  return Number(text) === 0 ? text.replace('-', '') : text;
}

export function signed(value, digits) {
  const text = fixed(value, digits);
  return Number(text) > 0 ? `+${text}` : text;
}

export function mean(values) {
  return values.reduce((a, b) => a + b, 0) / values.length;
}

export async function choose(page, label, value) {
  await page.getByLabel(label, { exact: true }).selectOption(value);
  await settle(page);
}

export async function press(page, group, name) {
  await page.getByRole('group', { name: group, exact: true }).getByRole('button', { name, exact: true }).click();
  await settle(page);
}
