// A plan grows by forms, and its papers are read and taken away. With the pages' script, or without (`plain`).

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { DESK, PHONE, file, story, tooWide, visit, words } from './browser.mjs';

const plain = words.includes('plain');
const onDisk = () => readFileSync(file, 'utf8');

/** The words between two texts that differ in one place: what was put in. */
function putIn(before, after) {
  let [from, to] = [0, 0];
  while (before[from] === after[from]) from += 1;
  while (before.at(-1 - to) === after.at(-1 - to) && before.length - to > from) to += 1;
  assert.equal(before.length - to, from, 'something was taken out too');
  return after.slice(from, after.length - to);
}

await story(async (open) => {
  const page = await (await open({ javaScriptEnabled: !plain, viewport: plain ? PHONE : DESK })).newPage();
  const whole = onDisk();

  // From the drawing's list to a track, and a feeder more by its form; a place that is not there is told on the form.
  await visit(page, '/');
  await page.locator('ul.places').getByRole('link', { name: 'dock 1', exact: true }).click();
  await page.locator('summary', { hasText: 'Add a feeder' }).click();
  const form = page.locator('form.act').filter({ hasText: 'It goes to' });
  await form.getByLabel('Where').fill('99 m');
  await form.getByRole('button', { name: 'Add the feeder' }).click();
  await page.getByRole('alert').getByText('Nothing was changed').waitFor();
  assert.equal(onDisk(), whole);
  assert.equal(await page.getByLabel('Where').inputValue(), '99 m', 'what was typed stays');
  await page.getByLabel('Where').fill('2.2 m');
  await page.getByRole('button', { name: 'Add the feeder' }).click();
  await page.getByRole('heading', { name: 'The last change' }).waitFor();
  assert.equal(putIn(whole, onDisk()), ', { at = "2.2 m", rail = "left" }');
  assert.match((await page.locator('ins').allTextContents()).join('\n'), /2\.2 m/, 'the line is shown');

  // The papers have the new feeder, and lead to its place.
  await page.getByRole('link', { name: 'Papers', exact: true }).click();
  await page.getByRole('link', { name: 'Feeder list' }).click();
  const row = page.getByRole('row').filter({ hasText: '2200' });
  await row.first().waitFor();
  assert.deepEqual(await tooWide(page), { over: 0, names: [] });
  await row.first().getByRole('link').first().click();
  await page.waitForURL('**/place?at=F*');
  assert.match(await page.locator('main').textContent(), /dock 1/);

  // They are taken away: the binder and the workbook are what they say.
  await page.getByRole('link', { name: 'Papers', exact: true }).click();
  for (const [name, begins] of [['The whole binder', '%PDF-'], ['All tables in a workbook', 'PK']]) {
    const to = await page.getByRole('link', { name }).getAttribute('href');
    const answer = await page.request.get(new URL(to, page.url()).href);
    assert.equal(answer.status(), 200, name);
    assert.equal((await answer.body()).subarray(0, begins.length).toString(), begins, name);
  }

  // The feeder is undone again.
  await visit(page, '/change');
  await page.getByRole('button', { name: 'Undo the last change' }).click();
  await page.getByText('The last change is undone').waitFor();
  assert.equal(onDisk(), whole);
});
