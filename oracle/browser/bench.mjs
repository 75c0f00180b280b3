// The bench on a phone: the next job ticked, a reading judged at once, without a connection and back, by the keyboard alone, and
// without script. The logbook is read back through the pages, which show nothing that is not on the disk.

import assert from 'node:assert/strict';
import { PHONE, story, tooWide, visit, words } from './browser.mjs';

const plain = words[0] === 'plain';

/** How many jobs are ticked, as the page says. */
const ticked = async (page) => Number((await page.locator('.lead').first().textContent()).split(' ')[0]);
/** What is not kept yet. */
const waiting = (page) => page.locator('#waiting li');

/** Ticks, readings and a failure, with whatever the page is given. */
async function works(page) {
  await visit(page, '/bench');
  assert.equal(await ticked(page), 0);
  assert.deepEqual(await tooWide(page), { over: 0, names: [] });
  await page.getByRole('button', { name: 'Tick order 1', exact: true }).click();
  await page.getByText('Ticked: order 1').waitFor();
  await page.getByText('1 of ').first().waitFor();
  await page.getByRole('button', { name: 'Tick order 2', exact: true }).first().waitFor();

  await visit(page, '/bench?test=2');
  await page.getByLabel('What the meter shows').first().fill('0.1 ohm');
  await page.getByRole('button', { name: 'Enter the reading' }).first().click();
  await page.getByText('FAIL test 2').first().waitFor();
  await page.getByText('It may mean').waitFor();
  assert.deepEqual(await tooWide(page), { over: 0, names: [] });
  await visit(page, '/bench?test=2');
  await page.getByLabel('What the meter shows').first().fill('OL');
  await page.getByRole('button', { name: 'Enter the reading' }).first().click();
  await page.getByText('PASS test 2').first().waitFor();
}

/** What is no reading is told, and stays where it was typed. */
async function wrong(page) {
  await visit(page, '/bench?test=3');
  await page.getByLabel('What the meter shows').first().fill('seven bananas');
  await page.getByRole('button', { name: 'Enter the reading' }).first().click();
  if (plain) {
    await page.getByRole('heading', { name: 'That was not entered' }).waitFor();
    assert.equal(await page.getByLabel('What was read or seen').inputValue(), 'seven bananas');
    return;
  }
  await waiting(page).filter({ hasText: 'Not taken' }).waitFor();
  const box = page.getByLabel('Put it right: test 3', { exact: true });
  assert.equal(await box.inputValue(), 'seven bananas');
  await box.fill('OL');
  // The list is drawn anew meanwhile, as when somebody else enters something.
  await page.evaluate(() => document.dispatchEvent(new Event('gapwright:renewed')));
  assert.equal(await box.inputValue(), 'OL');
  await page.getByRole('button', { name: 'Send it' }).click();
  await waiting(page).first().waitFor({ state: 'detached' });
  await page.getByText('test 3').first().waitFor();
}

/** No connection: entries wait in the browser, also over a page that is loaded again, and are kept once when it is back. */
async function offline(context, page) {
  await visit(page, '/bench');
  const before = await ticked(page);
  await context.setOffline(true);
  await page.getByRole('button', { name: /^Tick order/ }).first().click();
  await waiting(page).filter({ hasText: 'Not kept yet: order' }).waitFor();
  await page.locator('details.also summary').first().click();
  const more = page.locator('details.also[open] input.reading, details.also[open] button.big').first();
  if (await more.evaluate((e) => e.tagName === 'INPUT')) {
    await more.fill('OL');
    await more.press('Enter');
  } else {
    await more.click();
  }
  await page.waitForFunction(() => document.querySelectorAll('#waiting li').length === 2);
  await context.setOffline(false);
  await page.waitForFunction(() => document.querySelectorAll('#waiting li').length === 0);
  await page.waitForFunction((n) => Number(document.querySelector('.lead').textContent.split(' ')[0]) > n, before);

  // Closed while it waits: the next page of this plan sends it.
  const held = await ticked(page);
  await context.setOffline(true);
  await page.getByRole('button', { name: /^Tick order/ }).first().click();
  await waiting(page).first().waitFor();
  await page.close();
  await context.setOffline(false);
  const next = await context.newPage();
  await visit(next, '/findings');
  await next.waitForFunction(() => !Object.keys(localStorage).some((key) => key.startsWith('log|')));
  await visit(next, '/bench');
  assert.equal(await ticked(next), held + 1);
  return next;
}

/** Another phone hears of a tick by itself. */
async function together(open, page) {
  const other = await (await open({ viewport: PHONE })).newPage();
  await visit(other, '/bench');
  const before = await ticked(other);
  await visit(page, '/bench');
  await page.getByRole('button', { name: /^Tick order/ }).first().click();
  await other.waitForFunction((n) => Number(document.querySelector('.lead').textContent.split(' ')[0]) === n + 1, before);
}

/** By the keyboard alone: from the top of the page to the next job, ticked by Enter, and the next one is at hand. */
async function keyboard(page) {
  await visit(page, '/bench');
  const before = await ticked(page);
  for (let tabs = 0; tabs < 60; tabs += 1) {
    await page.keyboard.press('Tab');
    if (await page.evaluate(() => document.activeElement.matches('.next button.big, .next input.reading'))) break;
    assert.ok(tabs < 59, 'the next job is not reached');
  }
  if (await page.evaluate(() => document.activeElement.tagName === 'INPUT')) await page.keyboard.type('OL');
  await page.keyboard.press('Enter');
  await page.locator('#told .told').waitFor();
  await page.waitForFunction(() => document.querySelectorAll('#waiting li').length === 0);
  assert.ok(await ticked(page) >= before);
}

/** A symptom, the measurement that is asked for, and the suspects that follow. */
async function hunts(page) {
  await visit(page, '/hunt?kit=bench');
  await page.getByLabel('One thing at a time').fill('dock 1 dead when T1 is diverging');
  await page.getByRole('button', { name: 'Enter it', exact: true }).click();
  await page.locator('.lines', { hasText: 'dock 1 dead' }).first().waitFor();
  assert.match(await page.locator('.suspects li').first().textContent(), /does not conduct|broken/);
  await page.locator('.next').getByLabel('What the meter shows').fill('OL');
  await page.getByRole('button', { name: 'Enter the reading' }).click();
  await page.locator('.lines li', { hasText: ': OL' }).first().waitFor();
  assert.deepEqual(await tooWide(page), { over: 0, names: [] });
}

await story(async (open) => {
  // Readings that are refused and connections that are cut are part of it.
  const may = /\/log (answered 422|said: .*(422|ERR_INTERNET_DISCONNECTED))|\/events said: .*ERR_/;
  const context = await open({ viewport: PHONE, hasTouch: true, javaScriptEnabled: !plain, may });
  let page = await context.newPage();
  await works(page);
  await wrong(page);
  if (!plain) {
    page = await offline(context, page);
    await together(open, page);
    await keyboard(page);
  }
  await hunts(page);
});
