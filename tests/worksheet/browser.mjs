// SPDX-License-Identifier: MIT
// A Chromium, headless, by its own protocol (chromedevtools.github.io/devtools-protocol) over a pipe: nothing to install.
import { spawn } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';

export const chromium = () =>
  ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].find((file) => existsSync(file));

export class Browser {
  #process;
  #profile = mkdtempSync(path.join(tmpdir(), 'aplomb-browser-'));
  #waiting = new Map();
  #listeners = [];
  #rest = '';
  #last = 0;

  constructor(executable) {
    this.#process = spawn(executable, ['--headless', '--no-sandbox', '--disable-gpu', '--hide-scrollbars', '--remote-debugging-pipe',
      `--user-data-dir=${this.#profile}`, 'about:blank'], { stdio: ['ignore', 'ignore', 'ignore', 'pipe', 'pipe'] });
    this.#process.stdio[4].on('data', (data) => this.#hear(data.toString()));
  }

  #hear(text) {
    const messages = (this.#rest + text).split('\0');
    this.#rest = messages.pop();
    for (const message of messages.map((m) => JSON.parse(m))) {
      const wait = this.#waiting.get(message.id);
      this.#waiting.delete(message.id);
      if (wait && message.error) wait.reject(new Error(`${wait.method}: ${message.error.message}`));
      else if (wait) wait.resolve(message.result);
      else for (const listener of this.#listeners) listener(message);
    }
  }

  send(method, params = {}, sessionId = undefined) {
    const id = ++this.#last;
    this.#process.stdio[3].write(`${JSON.stringify({ id, method, params, sessionId })}\0`);
    return new Promise((resolve, reject) => this.#waiting.set(id, { resolve, reject, method }));
  }

  onMessage(listener) {
    this.#listeners.push(listener);
  }

  /** A page of this width; `faults` gathers what goes wrong in it. */
  async page(width, height, downloads) {
    const { targetId } = await this.send('Target.createTarget', { url: 'about:blank' });
    const { sessionId } = await this.send('Target.attachToTarget', { targetId, flatten: true });
    const page = new Page((method, params) => this.send(method, params, sessionId));
    this.onMessage((message) => {
      if (message.sessionId === sessionId) page.hear(message);
    });
    await page.send('Page.enable');
    await page.send('Runtime.enable');
    await page.send('Network.enable');
    await page.send('Emulation.setDeviceMetricsOverride', { width, height, deviceScaleFactor: 1, mobile: false });
    await this.send('Browser.setDownloadBehavior', { behavior: 'allow', downloadPath: downloads, eventsEnabled: true });
    await this.send('Browser.grantPermissions', { permissions: ['clipboardReadWrite', 'clipboardSanitizedWrite'] });
    return page;
  }

  async close() {
    const ended = new Promise((resolve) => this.#process.once('exit', resolve));
    await this.send('Browser.close').catch(() => {});
    await ended;
    rmSync(this.#profile, { recursive: true, force: true, maxRetries: 5, retryDelay: 200 });
  }
}

const KEYS = { ArrowRight: 39, ArrowLeft: 37, ArrowUp: 38, ArrowDown: 40, Tab: 9, Enter: 13, ' ': 32, Home: 36, End: 35, Backspace: 8 };

class Page {
  faults = [];
  requests = [];

  constructor(send) {
    this.send = send;
  }

  hear({ method, params }) {
    if (method === 'Runtime.exceptionThrown') this.faults.push(params.exceptionDetails.exception?.description ?? params.exceptionDetails.text);
    if (method === 'Runtime.consoleAPICalled' && params.type === 'error') this.faults.push(params.args.map((a) => a.value).join(' '));
    if (method === 'Network.requestWillBeSent' && !/^(file|data|blob):/.test(params.request.url)) this.requests.push(params.request.url);
  }

  async open(url) {
    await this.send('Page.navigate', { url });
    await this.until('document.readyState === "complete"');
  }

  /** The value of an expression in the page; promises are waited for. */
  async value(expression) {
    const { result, exceptionDetails } = await this.send('Runtime.evaluate', { expression, awaitPromise: true, returnByValue: true });
    if (exceptionDetails) throw new Error(exceptionDetails.exception?.description ?? exceptionDetails.text);
    return result.value;
  }

  async until(expression, seconds = 60) {
    const end = Date.now() + 1000 * seconds;
    while (!(await this.value(expression).catch(() => false))) {
      if (Date.now() > end) throw new Error(`waited ${seconds} s in vain for ${expression}`);
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
  }

  async press(key, times = 1) {
    const code = { key, code: key === ' ' ? 'Space' : key, windowsVirtualKeyCode: KEYS[key], ...(key === 'Enter' ? { text: '\r' } : key === ' ' ? { text: ' ' } : {}) };
    for (let i = 0; i < times; i += 1) {
      await this.send('Input.dispatchKeyEvent', { type: code.text ? 'keyDown' : 'rawKeyDown', ...code });
      await this.send('Input.dispatchKeyEvent', { type: 'keyUp', ...code });
    }
  }

  /** Drops files, name and bytes each, as a hand would. */
  async drop(files) {
    const coded = files.map(([name, bytes]) => [name, Buffer.from(bytes).toString('base64')]);
    await this.value(`(() => {
      const carried = new DataTransfer();
      for (const [name, text] of ${JSON.stringify(coded)})
        carried.items.add(new File([Uint8Array.from(atob(text), (c) => c.charCodeAt(0))], name));
      document.body.dispatchEvent(new DragEvent('drop', { dataTransfer: carried, bubbles: true, cancelable: true }));
    })()`);
  }

  async click(x, y) {
    for (const type of ['mousePressed', 'mouseReleased'])
      await this.send('Input.dispatchMouseEvent', { type, x, y, button: 'left', clickCount: 1 });
  }

  /** Chooses a file on the disk, however large. */
  async choose(field, file) {
    const { root } = await this.send('DOM.getDocument');
    const { nodeId } = await this.send('DOM.querySelector', { nodeId: root.nodeId, selector: field });
    await this.send('DOM.setFileInputFiles', { files: [file], nodeId });
  }

  async screenshot(file) {
    const { contentSize } = await this.send('Page.getLayoutMetrics').then((m) => ({ contentSize: m.cssContentSize }));
    const { data } = await this.send('Page.captureScreenshot', { captureBeyondViewport: true,
      clip: { x: 0, y: 0, width: contentSize.width, height: contentSize.height, scale: 1 } });
    writeFileSync(file, Buffer.from(data, 'base64'));
  }

  async pdf(file) {
    const { data } = await this.send('Page.printToPDF', { preferCSSPageSize: true, printBackground: true });
    writeFileSync(file, Buffer.from(data, 'base64'));
  }
}
