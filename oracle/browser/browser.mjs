// What all stories share: a browser that is watched, and the arguments that the server's address and plan come by.
//
// A story is run as `node STORY.mjs ADDRESS FILE WORDS...`; it ends with an error where what a builder would see is not there,
// and where a page asked for anything outside its own server, or said anything to the console.

import assert from 'node:assert/strict';
import { existsSync } from 'node:fs';
import { delimiter, join } from 'node:path';
import { chromium } from 'playwright-core';

/** The server, the plan file (or folder of plans), and what else a story is told. */
export const [address, file, ...words] = process.argv.slice(2);

/** How long anything on a page may take, in milliseconds. The machine may be busy with other checks. */
const PATIENCE = 30_000;

const FLAGS = [
  '--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
  '--disable-background-networking', '--disable-component-update', '--disable-sync',
];

/** The width of a phone and of a desk, in CSS pixels. */
export const PHONE = { width: 360, height: 740 };
export const DESK = { width: 1280, height: 900 };

/** Runs a story with a browser and an empty profile of its own. `open` makes a builder's device: a context that is watched. */
export async function story(run) {
  const places = (process.env.PATH ?? '').split(delimiter).map((folder) => join(folder, 'chromium'));
  const browser = await chromium.launch({ executablePath: places.find(existsSync), args: FLAGS });
  const watches = [];
  // `may`: what is expected to go wrong, as where a connection is cut on purpose.
  const open = async ({ may, ...options } = {}) => {
    const context = await browser.newContext({ viewport: DESK, ...options });
    context.setDefaultTimeout(PATIENCE);
    const faults = watch(context, options.origin ?? address);
    watches.push(() => faults().filter((fault) => !may?.test(fault)));
    return context;
  };
  try {
    await run(open);
    assert.deepEqual(watches.flatMap((faults) => faults()), [], 'the pages asked or said what they should not');
  } finally {
    await browser.close();
  }
}

/** Gives what the pages of a context did that they should not, when asked. */
function watch(context, origin) {
  const faults = [];
  const pages = new Set();
  const said = [];
  context.on('request', (request) => {
    if (new URL(request.url()).origin !== origin) faults.push(`${request.url()} was asked for`);
  });
  context.on('response', (response) => {
    if (response.request().isNavigationRequest()) pages.add(response.url());
    // A page that asks for itself anew may hear that what it told of is gone: a finding that was mended.
    else if (response.status() >= 400 && !pages.has(response.url())) faults.push(`${response.url()} answered ${response.status()}`);
  });
  context.on('weberror', (error) => faults.push(`the script fell over: ${error.error()}`));
  context.on('console', (message) => {
    if (['error', 'warning'].includes(message.type())) said.push([message.text(), message.location().url]);
  });
  return () => {
    // A page that says no, as that of a conflict, is also told to the console. Each story asks what it was answered itself.
    const ours = ([text, url]) => text.startsWith('Failed to load resource') && pages.has(url);
    return [...faults, ...said.filter((one) => !ours(one)).map(([text, url]) => `${url} said: ${text}`)];
  };
}

/** Goes to a page, which must answer as it is expected to. */
export async function visit(page, path, status = 200) {
  const answer = await page.goto(address + path);
  assert.equal(answer.status(), status, `${path} answered ${answer.status()}`);
}

/** What the rails on the drawing look like: the stroke of each piece as it is shown. */
export function rails(page) {
  return page.locator('.layout path.rail').evaluateAll((paths) => paths.map((path) => {
    const { stroke, strokeWidth, strokeDasharray } = getComputedStyle(path);
    return `${path.dataset.edge} ${stroke} ${strokeWidth} ${strokeDasharray}`;
  }));
}

/** The middle of a piece of rail of a track on the screen, after it was brought into sight. */
export async function onRail(page, track, rail) {
  const box = page.locator(`.layout a[aria-label*="${track}"] path.rail[data-rail="${rail}"]`).first();
  await box.scrollIntoViewIfNeeded();
  return box.evaluate((path) => {
    const at = path.getPointAtLength(path.getTotalLength() / 2).matrixTransform(path.getScreenCTM());
    return [at.x, at.y];
  });
}

/** How far the page itself, not a box in it, is wider than the screen, and what sticks out. */
export function tooWide(page) {
  return page.evaluate(() => {
    const room = document.documentElement.clientWidth;
    const over = document.documentElement.scrollWidth - room;
    const names = over > 0 ? [...document.querySelectorAll('body *')]
      .filter((e) => e.getBoundingClientRect().right > room + 0.5)
      .slice(0, 4).map((e) => e.outerHTML.slice(0, 120)) : [];
    return { over: Math.max(over, 0), names };
  });
}
