// Everything by keyboard: each stop is seen, none traps, and a plan is thrown, broken, mended and undone without a mouse.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { file, story, visit } from './browser.mjs';

const onDisk = () => readFileSync(file, 'utf8');

/** What has the focus, in words; nothing where the page itself has it. */
const focused = (page) => page.evaluate(() => {
  const at = document.activeElement;
  if (!at || at === document.body) return '';
  return `${at.tagName} ${at.getAttribute('aria-label') ?? at.labels?.[0]?.textContent ?? at.textContent}`.slice(0, 90);
});

/** Whether what has the focus looks otherwise than without it, and lies on the screen. */
async function isSeen(page) {
  const clip = await page.evaluate(() => {
    const box = document.activeElement.getBoundingClientRect();
    const [left, top] = [Math.max(box.left - 6, 0), Math.max(box.top - 6, 0)];
    const [right, bottom] = [Math.min(box.right + 6, innerWidth), Math.min(box.bottom + 6, innerHeight)];
    return { x: left, y: top, width: right - left, height: bottom - top };
  });
  if (clip.width <= 0 || clip.height <= 0) return false;
  const held = await page.screenshot({ clip });
  const at = await page.evaluateHandle(() => { const at = document.activeElement; at.blur(); return at; });
  const left = await page.screenshot({ clip });
  await at.evaluate((at) => at.focus({ preventScroll: true }));
  return !held.equals(left);
}

/** Goes on by Tab until something has the focus; says where it came by if it never has. */
async function tabTo(page, words) {
  const by = [];
  for (let n = 0; n < 120; n += 1) {
    await page.keyboard.press('Tab');
    by.push(await focused(page));
    if (words.test(by.at(-1))) return;
  }
  assert.fail(`${words} never has the focus: ${by.join(' | ')}`);
}

/** Whether what has the focus had it before on this page; the browser begins anew behind the last stop. */
const isOld = (page) => page.evaluate(() => {
  window.stops ??= new Set();
  const old = window.stops.has(document.activeElement);
  window.stops.add(document.activeElement);
  return old;
});

/** Goes through a whole page by Tab and back again; each stop is another, is seen, and none is left out. */
async function walk(page, path) {
  await visit(page, path);
  const stops = [];
  for (let n = 0; n < 200; n += 1) {
    await page.keyboard.press('Tab');
    const at = await focused(page);
    if (at === '' || await isOld(page)) break;
    stops.push(at);
    assert.ok(await isSeen(page), `${path}: it is not seen that ${at} has the focus`);
  }
  const due = await page.evaluate(() => [...document.querySelectorAll('a[href], button, input, select, textarea, summary, [tabindex]')]
    .filter((e) => e.tabIndex >= 0 && e.type !== 'hidden' && e.checkVisibility()).length);
  assert.equal(stops.length, due, `${path}: ${stops.join(' | ')}`);
  assert.match(stops[0], /Skip to the page/);
  await page.evaluate(() => { const last = [...window.stops].filter((e) => e !== document.body).at(-1); last.focus(); });
  for (const stop of stops.toReversed().slice(1)) {
    await page.keyboard.press('Shift+Tab');
    assert.equal(await focused(page), stop, `${path}, on the way back`);
  }
}

await story(async (open) => {
  const page = await (await open()).newPage();
  const whole = onDisk();
  for (const path of ['/', '/place?at=dock+1', '/routes', '/plan', '/profile?way=1']) await walk(page, path);

  // The first stop leads past the links that all pages have.
  await visit(page, '/');
  await page.keyboard.press('Tab');
  await page.keyboard.press('Enter');
  await page.keyboard.press('Tab');
  assert.ok(await page.evaluate(() => document.getElementById('main').contains(document.activeElement)));

  // The turnout on the drawing is thrown, and keeps the focus, so that it can be thrown back.
  await tabTo(page, /^a throw T1: it stands through/);
  await page.keyboard.press('Enter');
  await page.waitForURL('**/?T1=diverging');
  await page.locator('.throws em', { hasText: 'diverging' }).waitFor();
  assert.match(await focused(page), /^a throw T1: it stands diverging/);
  await page.keyboard.press('Enter');
  await page.waitForURL((url) => url.search === '');

  // A layer is chosen.
  await visit(page, '/');
  await tabTo(page, /^A volts/);
  await page.keyboard.press('Enter');
  await page.waitForURL('**/?layer=volts');
  await page.locator('[aria-current="true"]', { hasText: 'volts' }).waitFor();

  // The text is broken by a letter, and saved.
  await tabTo(page, /^A Plan/);
  await page.keyboard.press('Enter');
  await page.waitForURL('**/plan');
  await tabTo(page, /^TEXTAREA/);
  await page.keyboard.press('Control+Home');
  await page.keyboard.type('x');
  await tabTo(page, /^BUTTON Save/);
  await page.keyboard.press('Enter');
  await page.waitForURL('**/plan?done=saved');
  assert.equal(onDisk(), `x${whole}`);

  // What is found is opened from the list beside the text, and the change is undone.
  await tabTo(page, /^A line 1$/);
  await page.keyboard.press('Enter');
  await page.waitForURL('**/lines#L1');
  await tabTo(page, /^A Findings/);
  await page.keyboard.press('Enter');
  await page.waitForURL('**/findings');
  await tabTo(page, /^BUTTON Undo the last change/);
  await page.keyboard.press('Enter');
  await page.getByText('The last change is undone').waitFor();
  assert.equal(onDisk(), whole);

  // A finding is opened and its edit made.
  await tabTo(page, /^A dock 2 is live/);
  await page.keyboard.press('Enter');
  await page.waitForURL('**/finding?*');
  await tabTo(page, /^BUTTON Make this edit/);
  await page.keyboard.press('Enter');
  await page.getByText('The proposed edit is made').waitFor();
  assert.notEqual(onDisk(), whole);
});
