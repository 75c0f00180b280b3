// What was typed outlives the server: it is stopped while somebody writes, that is told at once, the text stays and comes back after
// the browser was closed, and is saved when the server runs again; so do ticks. This story stops and starts the server by lines it
// writes and waits for.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { createInterface } from 'node:readline';
import { file, story, visit } from './browser.mjs';

const lines = createInterface({ input: process.stdin })[Symbol.asyncIterator]();
const server = async (does) => {
  console.log(does);
  const { value } = await lines.next();
  assert.equal(value, 'done');
};
const onDisk = () => readFileSync(file, 'utf8');
const area = (page) => page.getByLabel('The text of the plan');

await story(async (open) => {
  const may = /ERR_CONNECTION_REFUSED|ERR_EMPTY_RESPONSE|ERR_INCOMPLETE_CHUNKED|ERR_CONNECTION_RESET|ERR_NETWORK|answered 403|status of 403/;
  const context = await open({ may });
  let page = await context.newPage();
  await visit(page, '/plan');
  const typed = `# Three evenings of work.\n${onDisk()}`;
  await area(page).fill(typed);
  await server('stop');
  await page.locator('#notice', { hasText: 'The server does not answer' }).waitFor();
  await page.getByRole('button', { name: 'Save', exact: true }).click();
  await page.locator('#notice', { hasText: 'Not sent' }).waitFor();
  assert.equal(await area(page).inputValue(), typed, 'what was typed stands there');
  assert.doesNotMatch(onDisk(), /Three evenings/);

  // The same page sends it when the server is there again; the secret of the form is another one by now.
  await server('start');
  await page.getByRole('button', { name: 'Save', exact: true }).click();
  await page.getByRole('heading', { name: 'Turned away' }).waitFor();
  assert.equal(await page.getByLabel('Text', { exact: true }).inputValue(), typed, 'it is given back');
  await page.getByRole('button', { name: 'Send it again' }).click();
  await page.getByText('The plan file is written.').waitFor();
  assert.equal(onDisk(), typed);

  // Closed without saving: the draft is offered, put back when it is wanted, and gone once it is saved.
  const more = `# A fourth evening.\n${typed}`;
  await area(page).fill(more);
  await page.close({ runBeforeUnload: false });
  page = await context.newPage();
  await visit(page, '/plan');
  assert.equal(await area(page).inputValue(), typed, 'nothing is put in place of the file without being asked');
  await page.getByRole('button', { name: 'Put it back' }).click();
  assert.equal(await area(page).inputValue(), more);
  await page.getByRole('button', { name: 'Save', exact: true }).click();
  await page.getByText('The plan file is written.').waitFor();
  assert.equal(onDisk(), more);
  await visit(page, '/plan');
  assert.equal(await page.getByRole('button', { name: 'Put it back' }).count(), 0, 'what is saved is no draft');

  // A tick while the server is away is kept here, and sent by itself when it is back.
  await visit(page, '/bench');
  await server('stop');
  await page.getByRole('button', { name: 'Tick order 1', exact: true }).click();
  await page.locator('#waiting li', { hasText: 'Not kept yet' }).waitFor();
  await server('start');
  await page.locator('#waiting li').first().waitFor({ state: 'detached' });
  await page.getByText('Ticked: order 1').waitFor();
  await page.reload();
  await page.getByText('1 of ').first().waitFor();
});
// Nobody waits for another line.
process.stdin.destroy();
