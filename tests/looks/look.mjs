// Opens pages in headless Chromium: axe-core in light and dark at a phone's and a desk's width,
// screenshots, prints on A4 and Letter.
import { chromium } from 'playwright-core';
import fs from 'node:fs';
import path from 'node:path';

const axe = fs.readFileSync('node_modules/axe-core/axe.min.js', 'utf8');
const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
    '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});
const widths = { phone: 390, desk: 1280 };
let violations = 0;
for (const file of process.argv.slice(2)) {
  const name = file.replace(/\.(html|svg)$/, '');
  // A drawing is looked at in a page, as readers get it: Chromium takes no screenshot of a bare one.
  const seen = file.endsWith('.svg') ? `${name}-seen.html` : file;
  if (seen !== file) {
    fs.writeFileSync(seen, `<!DOCTYPE html><meta name="color-scheme" content="light dark"><img src="${file}" width="100%">`);
  }
  for (const colorScheme of ['light', 'dark']) {
    for (const [device, width] of Object.entries(widths)) {
      const context = await browser.newContext({
        viewport: { width, height: 844 }, colorScheme, bypassCSP: true,
      });
      const page = await context.newPage();
      await page.goto('file://' + path.resolve(seen));
      if (file.endsWith('.html')) {
        await page.evaluate(axe);
        const found = await page.evaluate(async () => (await axe.run()).violations);
        for (const { id, help, nodes } of found) console.log(file, colorScheme, device, id, help, nodes[0].html);
        violations += found.length;
        const wide = await page.evaluate(() => document.documentElement.scrollWidth);
        if (wide > width) { console.log(file, `is wider than a ${device}:`, wide); violations += 1; }
        if (colorScheme === 'light' && device === 'desk') {
          for (const format of ['A4', 'Letter']) await page.pdf({ path: `${name}-${format}.pdf`, format });
        }
      }
      await page.screenshot({ path: `${name}-${device}-${colorScheme}.png`, fullPage: true });
      await context.close();
    }
  }
}
await browser.close();
console.log(`${violations} violations`);
process.exit(violations ? 1 : 0);
