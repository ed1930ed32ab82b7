// The screenshot of the README:  node screenshot.mjs PAGE PICTURE
import { writeFileSync } from 'node:fs';
import { open, settle, start, stop } from './browser.mjs';

await start();
const { page, close } = await open(process.argv[2], { width: 1100, height: 1400 });
const end = await page.$eval('[data-chart="torque"]', (chart) => chart.getBoundingClientRect().bottom);
await page.setViewportSize({ width: 1100, height: Math.ceil(end) + 12 });
await settle(page);
writeFileSync(process.argv[3], await page.screenshot());
await close();
await stop();
