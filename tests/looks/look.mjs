// Opens pages in headless Chromium: axe-core in light and dark, screenshots, an A4 print.
import { chromium } from 'playwright-core';
import fs from 'node:fs';
import path from 'node:path';

const axe = fs.readFileSync('node_modules/axe-core/axe.min.js', 'utf8');
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
    '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});
let violations = 0;
for (const file of process.argv.slice(2)) {
  for (const colorScheme of ['light', 'dark']) {
    const context = await browser.newContext({
      viewport: { width: 390, height: 844 }, colorScheme, bypassCSP: true,
    });
    const page = await context.newPage();
    await page.goto('file://' + path.resolve(file));
    await page.evaluate(axe);
    const found = await page.evaluate(async () => (await axe.run()).violations);
    for (const { id, help, nodes } of found) console.log(file, colorScheme, id, help, nodes[0].html);
    violations += found.length;
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    if (wide > 390) { console.log(file, 'is wider than a phone:', wide); violations += 1; }
    await page.screenshot({ path: file.replace('.html', `-${colorScheme}.png`), fullPage: true });
    if (colorScheme === 'light') await page.pdf({ path: file.replace('.html', '.pdf'), format: 'A4' });
    await context.close();
  }
}
await browser.close();
console.log(`${violations} violations`);
process.exit(violations ? 1 : 0);
