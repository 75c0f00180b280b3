// Every page for everybody: no fault that axe knows of, in light and dark, on a phone and at a desk; no page wider than its
// screen; nothing that moves where somebody asked for stillness. What is told as the
// last word says which pages the server has: those of a plan, of an unreadable plan, of a folder, or of a device not yet paired.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { DESK, PHONE, story, tooWide, visit, words } from './browser.mjs';

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

const LAYERS = ['phase', 'volts', 'fault', 'movement', 'failures', 'none'];
/** Pages by their addresses, and what each answers. */
const PLAN = [
  ...LAYERS.map((layer) => [`/?layer=${layer}&T1=diverging`, 200]),
  ['/?layer=phase&view=below', 200],
  ...['dock 1', 'T1', 'dock 1.right @ 1 m', 'F-1', 'G-1', 'W-1'].map((at) => [`/place?${new URLSearchParams({ at })}`, 200]),
  ['/findings', 200], ['/findings?done=mended', 200], ['/finding?name=storage-live-unlined&n=1', 200],
  ['/explain', 200], ['/explain?name=short-circuit', 200], ['/routes', 200], ['/profile?way=1', 200],
  ['/plan', 200], ['/plan?done=saved', 200], ['/lines', 200],
  ['/change', 200], ['/change?from=dock+1.to', 200], ['/changed?of=dock+1', 200], ['/?marks=none', 200],
  ['/bench', 200], ['/bench?test=2', 200], ['/bench?order=3', 200], ['/bench?show=jobs', 200], ['/bench?show=tests', 200],
  ['/bench?show=book', 200], ['/hunt', 200], ['/hunt?kit=bench&age=8', 200], ['/?zoom=whole', 200], ['/?zoom=numbers', 200],
  ['/papers', 200], ['/papers?of=F-1', 200], ['/paper?name=wire-list', 200], ['/paper?name=layout-from-above', 200],
  ['/paper?name=cold-tests', 200], ['/paper?name=none', 404], ['/place?at=main+bus', 200],
  ['/nothing', 404], ['/?T1=sideways', 400], ['/place?at=nowhere', 404], ['/finding?name=none&n=1', 404], ['/save', 405],
];
const FOLDER = [['/', 200], ['/plans', 200], ['/new', 200], ['/demo/wye/', 200], ['/demo/wye/bench', 200]];
const UNREAD = [['/', 200], ['/findings', 200], ['/plan', 200], ['/place?at=T1', 200], ['/routes', 200]];
const PAIRING = [['/', 403], ['/pair', 200], ['/pair?code=1234', 200]];

/** What axe finds, in a line each, by all its rules or those that `only` names. */
function faults(page, only) {
  return page.evaluate(async (runOnly) => {
    const { violations } = await window.axe.run(document, { resultTypes: ['violations'], ...runOnly });
    return violations.map((v) => `${v.id}: ${v.nodes.map((n) => `${n.target} ${n.any[0]?.message ?? ''}`).slice(0, 3).join('; ')}`);
  }, only && { runOnly: only });
}

/** What moves, though it was asked to be still. */
const moving = (page) => page.evaluate(() => [...document.querySelectorAll('*')].filter((e) => {
  const style = getComputedStyle(e);
  return style.animationName !== 'none' || !/^(0s(, )?)+$/.test(style.transitionDuration) || style.scrollBehavior !== 'auto';
}).map((e) => e.tagName).concat(document.getAnimations().map((a) => a.constructor.name)));

/** Paragraphs with nothing in them: what is left where something stands in a paragraph that cannot. */
const torn = (page) => page.locator('p:empty:not(#notice)').evaluateAll((all) => all.map((e) => e.parentElement.outerHTML.slice(0, 120)));

/** Looks at the page that is shown, in light and dark. */
async function look(page, path) {
  const where = `${path} at ${page.viewportSize().width}`;
  assert.deepEqual(await tooWide(page), { over: 0, names: [] }, `${where} is too wide`);
  assert.deepEqual(await moving(page), [], `${where} moves`);
  assert.deepEqual(await torn(page), [], `${where} is not put together as it is written`);
  await page.evaluate(axe);
  // In the dark only colours are others, and the other rules ask for none.
  for (const [colorScheme, only] of [['light'], ['dark', ['cat.color']]]) {
    await page.emulateMedia({ colorScheme });
    assert.deepEqual(await faults(page, only), [], `${where} in ${colorScheme}`);
  }
}

/** Two texts that were both meant to be the plan, without script, as a form sends them. */
async function conflict(page) {
  await visit(page, '/plan');
  await page.locator('input[name="based-on"]').evaluateAll((all) => all.forEach((e) => { e.value = 'another'; }));
  await page.getByLabel('The text of the plan').fill('# mine\n');
  await page.getByRole('button', { name: 'Save' }).click();
  await page.getByRole('heading', { name: 'Somebody else changed' }).waitFor();
  await look(page, 'conflict');
}

/** Answers that do not fit, told on the form. */
async function wrongAnswers(page) {
  await visit(page, '/new');
  await page.locator('form.questions').evaluate((form) => { form.noValidate = true; });
  await page.locator('input[type="number"]').first().fill('-3');
  await page.getByRole('button', { name: 'Write the plan' }).click();
  await page.getByRole('alert').waitFor();
  await look(page, 'wrong answers');
}

/** A form that is filled with what does not fit. */
async function refused(page) {
  await visit(page, '/place?at=dock+1');
  await page.locator('summary', { hasText: 'Change its length' }).click();
  await look(page, 'forms of a track');
  await page.getByLabel('Its length').fill('long');
  await page.getByRole('button', { name: 'Change the length' }).click();
  await page.getByRole('alert').waitFor();
  await look(page, 'a form refused');
}

const served = { plan: [PLAN, conflict, refused], unread: [UNREAD], folder: [FOLDER, wrongAnswers], pairing: [PAIRING] };

await story(async (open) => {
  await Promise.all([PHONE, DESK].map(async (viewport) => {
    const page = await (await open({ viewport, reducedMotion: 'reduce' })).newPage();
    const [pages, ...then] = served[words[0]];
    for (const [path, status] of pages) {
      await visit(page, path, status);
      await look(page, path);
    }
    for (const one of then) await one(page);
  }));
});
