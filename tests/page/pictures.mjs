// The pictures of the worked example, one of each page:  node pictures.mjs JOB FOLDER
//
// JOB is the folder in which its commands ran (tests/tools/worked_example.py), FOLDER that of the pictures.
import path from 'node:path';
import { writeFileSync } from 'node:fs';
import { open, press, start, stop } from './browser.mjs';

const [job, folder] = process.argv.slice(2);
const gap = 6; // px above and below what is shown

// From the top of the first to the bottom of the last selector.
const pictures = [
  { name: 'sweep', file: 'sweep.html', first: '#summary', last: '[data-map="torque"]' },
  { name: 'tune', file: 'tune.html', first: '#summary', last: '[data-chart="torque"]' },
  { name: 'over-speed', file: 'built.html', first: '#summary', last: '[data-chart="torque"]' },
  { name: 'pulses', file: 'built.html', first: '#pulses', last: '#merge-cards > :nth-child(3)' },
  { name: 'drawing', file: 'built.html', first: '#drawing', last: '#drawing' },
  { name: 'customer', file: 'built.html', first: '.sheet.customer', last: '.sheet.customer' },
  { name: 'bench', file: 'built.html', first: '.sheet.bench', last: '.sheet.bench' },
  { name: 'tolerance', file: 'tolerance.html', first: '#summary', last: '[data-map="dimensions"]' },
  { name: 'sound', file: 'built.html', first: '#sound', last: '#sound' },
  { name: 'dyno', file: 'measured.html', first: '#dyno', last: '#dyno' },
];

function edges(page, first, last) {
  return page.evaluate(([from, to]) => {
    const top = document.querySelector(from).getBoundingClientRect();
    const bottom = document.querySelector(to).getBoundingClientRect();
    return { y: top.top + window.scrollY, end: bottom.bottom + window.scrollY };
  }, [first, last]);
}

await start();
for (const { name, file, first, last } of pictures) {
  const { page, close } = await open(path.join(job, file), { width: 900, height: 900 });
  await press(page, 'Units', 'Inch');
  const { y, end } = await edges(page, first, last);
  const clip = { x: 0, y: Math.max(0, y - gap), width: 900, height: end - y + 2 * gap };
  writeFileSync(path.join(folder, `${name}.png`), await page.screenshot({ clip, fullPage: true }));
  await close();
}
await stop();
