// Two builders and an editor on the disk at one plan: a conflict is told with both texts, nothing is lost, and what changed
// elsewhere shows by itself.

import assert from 'node:assert/strict';
import { readFileSync, writeFileSync } from 'node:fs';
import { file, story, visit } from './browser.mjs';

const onDisk = () => readFileSync(file, 'utf8');

await story(async (open) => {
  const [ann, ben] = await Promise.all([open(), open()].map(async (context) => (await context).newPage()));
  const whole = onDisk();
  const area = (page) => page.getByLabel('The text of the plan');
  const [anns, bens] = ['# Ann was here.\n', '# Ben was here.\n'].map((line) => line + whole);

  // Ben writes while Ann saves. What he wrote stays on his page, and he is told.
  await Promise.all([visit(ann, '/plan'), visit(ben, '/plan')]);
  await area(ben).fill(bens);
  await area(ann).fill(anns);
  await ann.getByRole('button', { name: 'Save' }).click();
  await ann.getByText('The plan file is written.').waitFor();
  await ben.locator('#notice', { hasText: 'changed elsewhere' }).waitFor();
  assert.equal(await area(ben).inputValue(), bens);

  // He saves, nothing is written, and both texts are there.
  await ben.getByRole('button', { name: 'Save' }).click();
  await ben.getByRole('heading', { name: 'Somebody else changed the plan meanwhile' }).waitFor();
  assert.equal(onDisk(), anns);
  assert.equal(await area(ben).inputValue(), bens, 'his own text');
  assert.equal(await ben.locator('pre.theirs:visible').textContent(), anns, 'and hers');

  // He puts his in its place; she undoes that, and hers is back: nothing was lost.
  await ben.getByRole('button', { name: 'Save mine in place of theirs' }).click();
  await ben.getByText('The plan file is written.').waitFor();
  assert.equal(onDisk(), bens);
  await ann.locator('#notice', { hasText: 'this is how it is now' }).waitFor();
  assert.equal(await area(ann).inputValue(), bens, 'her page shows what is in the file');
  await ann.getByRole('button', { name: 'Undo the last change' }).click();
  await ann.getByText('The last change is undone').waitFor();
  assert.equal(onDisk(), anns);

  // An editor on the disk: the drawing of both follows, without loading the page again.
  await Promise.all([ann, ben].map(async (page) => {
    await visit(page, '/?T1=diverging');
    await page.evaluate(() => { window.stayed = true; });
  }));
  writeFileSync(file, anns.replaceAll('dock 1', 'pier road'));
  for (const page of [ann, ben]) {
    await page.locator('.places a', { hasText: 'pier road' }).waitFor();
    assert.equal(await page.locator('.places a', { hasText: 'dock 1' }).count(), 0);
    assert.equal(await page.evaluate(() => window.stayed), true, 'the page was not loaded again');
    assert.equal(await page.locator('.throws em').textContent(), 'diverging', 'the setting is kept');
    await page.locator('#notice', { hasText: 'this is how it is now' }).waitFor();
  }
  // What was in the file before can be brought back.
  await visit(ann, '/findings');
  await ann.getByRole('button', { name: 'Undo the last change' }).click();
  await ann.getByText('The last change is undone').waitFor();
  assert.equal(onDisk(), anns);
});
