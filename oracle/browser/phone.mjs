// Every page of every demo plan on a phone: nothing wider than the screen, nothing cut off outside a box that scrolls on purpose,
// everything that is touched large enough for a finger. A folder is served; its demo plans are asked for.
//
// Sizes: WCAG 2.2, 2.5.8 (targets of 24 CSS pixels, but links within sentences); 44 for turnouts, from the design of these pages.

import assert from 'node:assert/strict';
import { mkdirSync } from 'node:fs';
import { PHONE, story, visit, words } from './browser.mjs';

// The plans by what stands in front of their pages, such as `/demo/wye`; a folder for pictures, where some are wanted.
const [plans, shots] = [words[0]?.split(',') ?? [], words[1]];

/** Pages that every plan has. */
const PAGES = [
  '/', '/?layer=volts', '/?view=below', '/bench', '/bench?show=jobs', '/bench?show=tests', '/bench?show=book', '/hunt', '/findings',
  '/routes', '/profile?way=1', '/papers', '/change', '/changed', '/plan', '/lines', '/explain', '/explain?name=short-circuit',
  '/place?at=F-1', '/place?at=G-1', '/place?at=no+such+place', '/bench?test=1', '/bench?order=1',
];
const PLANLESS = ['/', '/plans', '/new'];

/** What sticks out of the screen and lies in no box that scrolls; what is cut off by a box that does not. */
export const clipped = (page) => page.evaluate(() => {
  const room = document.documentElement.clientWidth;
  const scrolls = (e) => ['auto', 'scroll'].includes(getComputedStyle(e).overflowX);
  const inScroller = (e) => { for (let up = e.parentElement; up; up = up.parentElement) if (scrolls(up)) return true; return false; };
  const hidden = (e) => e.closest('.unseen, .skip, .stack thead, [hidden], details:not([open]) > :not(summary)') || !e.checkVisibility();
  const name = (e) => e.outerHTML.slice(0, 140);
  const out = [];
  if (document.documentElement.scrollWidth > room) out.push(`the page is ${document.documentElement.scrollWidth} wide`);
  for (const e of document.querySelectorAll('body *')) {
    if (hidden(e) || e.closest('svg')) continue;
    const box = e.getBoundingClientRect();
    if (box.width === 0 || box.height === 0) continue;
    if ((box.right > room + 0.5 || box.left < -0.5) && !inScroller(e)) out.push(`sticks out to ${box.right}: ${name(e)}`);
    const style = getComputedStyle(e);
    if (style.overflowX === 'hidden' && e.scrollWidth > e.clientWidth + 1) out.push(`cuts off: ${name(e)}`);
  }
  return out.slice(0, 5);
});

/** What a finger cannot hit: smaller than 24, and no link within a sentence. */
export const small = (page) => page.evaluate(() => [...document.querySelectorAll('a, button, summary, input:not([type="hidden"]), select, textarea')]
  .filter((e) => e.checkVisibility() && !e.closest('svg, .unseen, .skip, pre') && getComputedStyle(e).display !== 'inline')
  .map((e) => [e.getBoundingClientRect(), e])
  .filter(([box]) => box.width > 0 && (box.width < 24 || box.height < 24))
  .map(([box, e]) => `${Math.round(box.width)} × ${Math.round(box.height)}: ${e.outerHTML.slice(0, 120)}`).slice(0, 5));

/** Targets of turnouts on the drawing that are smaller than a finger. */
const fingers = (page) => page.evaluate(() => [...document.querySelectorAll('.layout .throw .touch')].map((e) => {
  const box = e.getBoundingClientRect();
  return Math.round(Math.min(box.width, box.height) * 10) / 10;
}).filter((size) => size < 44));

/** Boxes to tick, and those of them that are in sight without scrolling sideways. */
const boxes = (page) => page.evaluate(() => {
  const all = [...document.querySelectorAll('.paper .box, button.tick, span.tick')].map((e) => e.getBoundingClientRect());
  return [all.length, all.filter((box) => box.width > 0 && box.left >= 0 && box.right <= document.documentElement.clientWidth).length];
});

const faults = [];
const seen = [0, 0];
await story(async (open) => {
  const page = await (await open({ viewport: PHONE, hasTouch: true, isMobile: true })).newPage();
  const look = async (path, name) => {
    const answer = await page.goto(new URL(path, process.argv[2]).href);
    assert.ok(answer.status() < 500, `${path} answered ${answer.status()}`);
    await page.getByRole('heading', { level: 1 }).first().waitFor({ state: 'attached' });
    if (await page.getByRole('heading', { name: 'One moment' }).count()) await page.getByRole('heading', { name: 'One moment' }).waitFor({ state: 'detached' });
    for (const [what, found] of [['clipped', await clipped(page)], ['small', await small(page)], ['turnouts', await fingers(page)]]) {
      if (found.length) faults.push(`${path}, ${what}: ${found.join(' | ')}`);
    }
    const [all, inSight] = await boxes(page);
    if (all !== inSight) faults.push(`${path}: ${inSight} of ${all} boxes in sight`);
    seen[0] += all;
    seen[1] += inSight;
    if (shots) {
      mkdirSync(shots, { recursive: true });
      await page.screenshot({ path: `${shots}/360-${name.replace(/[^a-z0-9]+/gi, '-')}.png`, fullPage: true });
    }
  };
  for (const path of PLANLESS) await look(path, `no-plan${path}`);
  for (const base of plans) {
    for (const path of PAGES) await look(base + path, base + path);
    // Every paper, as the list names them.
    await visit(page, `${base}/papers`);
    const papers = await page.locator('.papers a').evaluateAll((all) => all.map((a) => a.getAttribute('href')));
    assert.ok(papers.length > 10, `${base} has papers`);
    for (const paper of papers) await look(paper, paper);
  }
});
console.log(`${seen[1]} of ${seen[0]} boxes to tick in sight`);
assert.ok(seen[0] > 50);
assert.deepEqual(faults, [], `${faults.length} faults`);
