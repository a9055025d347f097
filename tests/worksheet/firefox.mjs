// SPDX-License-Identifier: MIT
// The worksheet in Firefox, headless: opens, draws, says the same as in Chromium, follows a slider by keys; pictures of it
// at two widths. By Firefox' own remote protocol, Marionette (firefox-source-docs.mozilla.org/testing/marionette), and
// the commands of WebDriver (w3.org/TR/webdriver2).
// Usage: node firefox.mjs FIREFOX WORKSHEET.html FOLDER
import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { pathToFileURL } from 'node:url';

const wait = (milliseconds) => new Promise((resolve) => setTimeout(resolve, milliseconds));

async function until(found, seconds, words) {
  for (const end = Date.now() + 1000 * seconds; Date.now() < end; await wait(50)) {
    const value = await found();
    if (value) return value;
  }
  throw new Error(`waited ${seconds} s in vain for ${words}`);
}

class Firefox {
  #process;
  #profile = mkdtempSync(path.join(tmpdir(), 'aplomb-firefox-'));
  #socket;
  #received = Buffer.alloc(0);
  #waiting = new Map();
  #last = 0;

  async start(executable) {
    writeFileSync(path.join(this.#profile, 'user.js'), 'user_pref("marionette.port", 0);\n');
    this.#process = spawn(executable, ['--headless', '--marionette', '--no-remote', '--profile', this.#profile, 'about:blank'],
      { stdio: 'ignore', env: { ...process.env, HOME: this.#profile } });
    const file = path.join(this.#profile, 'MarionetteActivePort');
    const port = await until(() => existsSync(file) && Number(readFileSync(file, 'utf8')), 60, 'the port of Firefox');
    this.#socket = connect(port, '127.0.0.1');
    this.#socket.on('data', (data) => this.#hear(data));
    await this.send('WebDriver:NewSession', {});
  }

  #hear(data) {
    this.#received = Buffer.concat([this.#received, data]);
    for (;;) {
      const colon = this.#received.indexOf(':');
      const end = colon + 1 + Number(this.#received.subarray(0, Math.max(colon, 0)));
      if (colon < 0 || this.#received.length < end) return;
      const message = JSON.parse(this.#received.subarray(colon + 1, end));
      this.#received = this.#received.subarray(end);
      if (!Array.isArray(message)) continue; // the greeting
      const [, id, error, result] = message;
      const { resolve, reject } = this.#waiting.get(id);
      if (error) reject(new Error(error.message));
      else resolve(result);
    }
  }

  send(name, params) {
    const id = ++this.#last, text = Buffer.from(JSON.stringify([0, id, name, params]));
    this.#socket.write(Buffer.concat([Buffer.from(`${text.length}:`), text]));
    return new Promise((resolve, reject) => this.#waiting.set(id, { resolve, reject }));
  }

  async value(script, ...args) {
    return (await this.send('WebDriver:ExecuteScript', { script: `return ${script}`, args, sandbox: null })).value;
  }

  async element(selector) {
    return Object.values((await this.send('WebDriver:FindElement', { using: 'css selector', value: selector })).value)[0];
  }

  /** Of an element, else of the whole page. */
  async screenshot(file, element) {
    const { value } = await this.send('WebDriver:TakeScreenshot', { id: element, full: true, hash: false });
    writeFileSync(file, Buffer.from(value, 'base64'));
  }

  async close() {
    const ended = new Promise((resolve) => this.#process.once('exit', resolve));
    await this.send('Marionette:Quit', { flags: ['eForceQuit'] }).catch(() => this.#process.kill());
    await ended;
    this.#socket.destroy();
    rmSync(this.#profile, { recursive: true, force: true, maxRetries: 5, retryDelay: 200 });
  }
}

const [executable, worksheet, folder] = process.argv.slice(2).map((p) => path.resolve(p));
const address = pathToFileURL(worksheet).href;
const firefox = new Firefox();
const atRest = (within) => until(() => firefox.value(`${within}.body?.dataset.rest === "yes"`), 60, 'a sheet at rest');

await firefox.start(executable);
try {
  await firefox.send('WebDriver:SetWindowRect', { width: 1280, height: 900 });
  await firefox.send('WebDriver:Navigate', { url: address });
  await atRest('document');
  const said = (id) => firefox.value(`document.getElementById("${id}").textContent.replaceAll("\\u00a0", " ")`);
  assert.match(await said('before-verdict'), /^in balance, but it does not answer the load/);
  assert.equal(await firefox.value('document.querySelectorAll("#halves svg").length'), 6);
  await firefox.screenshot(path.join(folder, 'worksheet-firefox-1280.png'));

  const slider = await firefox.element('#part');
  await firefox.value('(document.body.dataset.rest = "no")');
  await firefox.send('WebDriver:ElementSendKeys', { id: slider, text: '\ue014'.repeat(12) });
  await atRest('document');
  assert.equal(await said('part-said'), '42 %');
  assert.match(await said('said'), /31\.4\d? kg, both hands/);

  // Firefox' windows are not so narrow as a telephone; a frame in one is.
  const frame = path.join(folder, 'firefox-390.html');
  writeFileSync(frame, `<!DOCTYPE html><body style="margin:0"><iframe src="${address}" style="border:0;width:390px;height:844px"></iframe>`);
  await firefox.send('WebDriver:Navigate', { url: pathToFileURL(frame).href });
  await firefox.send('WebDriver:SwitchToFrame', { id: 0 });
  await atRest('document');
  const [wide, high] = await firefox.value('[document.documentElement.scrollWidth, document.body.scrollHeight]');
  assert.ok(wide <= 390, 'wider than a narrow screen');
  await firefox.send('WebDriver:SwitchToFrame', { id: null });
  await firefox.send('WebDriver:SetWindowRect', { width: 800, height: high + 200 });
  await firefox.value(`(document.querySelector("iframe").style.height = "${high + 40}px")`);
  await firefox.screenshot(path.join(folder, 'worksheet-firefox-390.png'), await firefox.element('iframe'));
} finally {
  await firefox.close();
}
console.log(`The worksheet in Firefox; pictures of it are in ${folder}.`);
