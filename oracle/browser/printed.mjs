// Pages on paper: the drawing and the words, none of the buttons, nothing beyond the edge of a sheet. The sheets are read by
// poppler, which knows nothing of how they were made.

import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { story, tooWide, visit } from './browser.mjs';

/** ISO 216 A4 in CSS pixels of 1/96 inch, less the margins that browsers leave (here 10 mm on each side). */
const MARGIN = 10;
const SHEET = { width: Math.floor((210 - 2 * MARGIN) / 25.4 * 96), height: Math.floor((297 - 2 * MARGIN) / 25.4 * 96) };

/** What is for hands and not for paper. */
const HANDS = 'button, nav, form, input, select, textarea, .touch, .skip, #notice, footer';

const PAGES = ['/', '/?layer=volts', '/?layer=movement&view=below', '/place?at=dock+1', '/place?at=T1', '/findings', '/routes',
  '/profile?way=1', '/plan', '/lines', '/explain'];

const folder = mkdtempSync(join(tmpdir(), 'printed-'));
const poppler = (tool, ...told) => execFileSync(tool, told, { encoding: 'utf8', stdio: ['ignore', 'pipe', 'inherit'] });

/** Words of the sheets with the left and right of each in points, and the width of its sheet. */
function wordsOf(path) {
  const text = poppler('pdftotext', '-bbox', path, '-');
  let sheet = 0;
  return [...text.matchAll(/<page width="([\d.]+)"|<word xMin="(-?[\d.]+)"[^>]* xMax="([\d.]+)"[^>]*>([^<]*)</g)].flatMap((found) => {
    if (found[1]) { sheet = Number(found[1]); return []; }
    return [{ left: Number(found[2]), right: Number(found[3]), word: found[4], sheet }];
  });
}

/** How many dots of the first sheet have a colour, at 50 to the inch. */
function dots(path, is) {
  const root = join(folder, 'sheet');
  poppler('pdftoppm', '-r', '50', '-singlefile', path, root);
  const bytes = readFileSync(`${root}.ppm`);
  const head = /^P6\s+(\d+)\s+(\d+)\s+255\s/.exec(bytes.toString('latin1', 0, 40));
  let count = 0;
  for (let at = head[0].length; at + 2 < bytes.length; at += 3) if (is(bytes[at], bytes[at + 1], bytes[at + 2])) count += 1;
  return count;
}
const coloured = (r, g, b) => Math.max(r, g, b) - Math.min(r, g, b) > 60;

try {
  await story(async (open) => {
    const page = await (await open({ viewport: SHEET })).newPage();
    await page.emulateMedia({ media: 'print' });
    for (const path of PAGES) {
      await visit(page, path);
      const hands = await page.locator(HANDS).evaluateAll((all) => all.filter((e) => e.checkVisibility()).map((e) => e.outerHTML.slice(0, 80)));
      assert.deepEqual(hands, [], `${path}: for hands, yet on paper`);
      assert.deepEqual(await tooWide(page), { over: 0, names: [] }, `${path} is wider than the paper`);
      // A box that would scroll on the screen hides on paper what does not fit it.
      const cut = await page.locator('main *').evaluateAll((all) => all
        .filter((e) => e.checkVisibility() && getComputedStyle(e).overflowX !== 'visible' && e.scrollWidth > e.clientWidth + 1 && !e.closest('.unseen'))
        .map((e) => e.outerHTML.slice(0, 80)));
      assert.deepEqual(cut, [], `${path}: cut off on paper`);
      const pdf = join(folder, 'page.pdf');
      const margin = Object.fromEntries(['top', 'right', 'bottom', 'left'].map((side) => [side, `${MARGIN}mm`]));
      writeFileSync(pdf, await page.pdf({ format: 'A4', margin }));
      const found = wordsOf(pdf);
      assert.ok(found.length > 10, `${path}: ${found.length} words on paper`);
      for (const { left, right, word, sheet } of found) {
        assert.ok(left >= 0 && right <= sheet, `${path}: ${word} lies from ${left} to ${right} of ${sheet}`);
      }
      const text = found.map(({ word }) => word).join(' ');
      assert.match(text, /Thistle Dock/, `${path} does not say of which layout it is`);
      for (const button of ['Set it', 'Tell of it', 'Save', 'Undo the last change', 'Skip to the page', 'New yard']) {
        assert.ok(!text.includes(button), `${path}: ${button} is printed`);
      }
      if (path === '/') {
        const svg = page.locator('.drawing svg');
        const { width } = await svg.boundingBox();
        assert.ok(width > SHEET.width * 0.9, `the drawing is ${width} wide on ${SHEET.width}`);
        // Both phases are coloured lines, and nothing else on paper is.
        const ink = dots(pdf, coloured);
        assert.ok(ink > 100, `only ${ink} dots of the drawing are on paper`);
        await svg.evaluate((e) => e.remove());
        writeFileSync(pdf, await page.pdf({ format: 'A4', margin }));
        assert.equal(dots(pdf, coloured), 0, 'this measure can fail');
      }
      if (path === '/plan') assert.match(text, /main bus/, 'the text of the plan is on paper');
    }
  });
} finally {
  rmSync(folder, { recursive: true });
}
