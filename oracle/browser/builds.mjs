// A builder's evening with a plan: look, throw, touch, break, read, mend, undo. With the pages' script, or without (`plain`).

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { DESK, PHONE, file, onRail, rails, story, tooWide, visit, words } from './browser.mjs';

const plain = words.includes('plain');
const onDisk = () => readFileSync(file, 'utf8');

await story(async (open) => {
  const context = await open({ javaScriptEnabled: !plain, hasTouch: true, viewport: plain ? DESK : PHONE });
  const page = await context.newPage();
  const whole = onDisk();
  // On a slow device the script comes after somebody began to write.
  await context.route('**/site.js', async (route) => { await new Promise((soon) => { setTimeout(soon, 500); }); await route.continue(); });

  // It is opened.
  await visit(page, '/');
  await page.getByRole('group').and(page.locator('svg')).waitFor();
  assert.match(await page.title(), /Thistle Dock/);
  const stands = page.locator('.throws a em');
  assert.equal(await stands.textContent(), 'through');

  // A whole way is set: the address and the list say so.
  const before = await rails(page);
  assert.ok(before.length > 8, `only ${before.length} pieces of rail are drawn`);
  await page.getByLabel('Set a whole route').selectOption({ label: 'approach to dock 1' });
  await page.getByRole('button', { name: 'Set it' }).click();
  await page.waitForURL('**/?T1=diverging');
  assert.equal(await stands.textContent(), 'diverging');
  const lined = await rails(page);
  assert.notDeepEqual(lined, before, 'the rails follow the way');

  // The turnout is thrown by a touch: rails, list and address follow.
  await page.locator('.layout a.throw').tap();
  await page.waitForURL((url) => url.pathname === '/' && url.search === '');
  await page.locator('.throws em', { hasText: 'through' }).waitFor();
  assert.deepEqual(await rails(page), before, 'the rails are as they were');

  // The way back is the browser's own.
  await page.goBack();
  await page.locator('.throws em', { hasText: 'diverging' }).waitFor();
  assert.deepEqual(await rails(page), lined);

  // A rail is touched, and tells its volts.
  await page.touchscreen.tap(...await onRail(page, 'dock 1', 'left'));
  await page.waitForURL('**/place?at=dock+1.left*T1=diverging');
  const told = page.locator('dl.figures');
  await told.getByText('A train gets', { exact: true }).waitFor();
  assert.match(await told.textContent(), /A train gets[\d.]+ V;/);

  // The plan is broken by an edit of its text: the two wires of the frog's contact, exchanged.
  await page.getByRole('link', { name: 'Plan', exact: true }).click();
  const area = page.getByLabel('The text of the plan');
  assert.equal(await area.inputValue(), whole, 'the text is that of the file');
  const broken = whole.replace('through = "main bus.A", diverging = "main bus.B"', 'through = "main bus.B", diverging = "main bus.A"');
  assert.notEqual(broken, whole);
  await area.fill(broken);
  if (!plain) {
    // What it breaks is told while it is written, before anything is saved.
    await page.locator('#checked .findings').getByText('error').first().waitFor();
    assert.equal(onDisk(), whole);
  }
  await page.getByRole('button', { name: 'Save' }).click();
  await page.getByRole('status').filter({ hasText: 'The plan file is written.' }).waitFor();
  assert.equal(onDisk(), broken);

  // The finding is seen, with its line, and accepted.
  await page.getByRole('link', { name: 'Findings', exact: true }).click();
  const found = page.locator('.findings li').filter({ hasText: 'error' }).first();
  const line = await found.getByRole('link', { name: /^line \d+$/ }).textContent();
  await found.getByRole('link').first().click();
  const marked = page.locator('figure.snippet').first();
  assert.match(await marked.locator('pre').getAttribute('aria-label'), new RegExp(`${line}$`));
  assert.notEqual((await marked.locator('mark').first().textContent()).trim(), '');
  await page.getByRole('button', { name: 'Make this edit' }).click();
  await page.getByText('The proposed edit is made').waitFor();
  assert.equal(onDisk(), whole, 'exchanged once more');
  assert.equal(await page.locator('.findings li').filter({ hasText: 'error' }).count(), 0, 'the error is gone');

  // It is undone, and so is the edit before it.
  for (const text of [broken, whole]) {
    await page.getByRole('button', { name: 'Undo the last change' }).click();
    await page.getByText('The last change is undone').waitFor();
    assert.equal(onDisk(), text);
  }
  assert.deepEqual(await tooWide(page), { over: 0, names: [] });
});
