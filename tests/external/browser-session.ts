import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync } from 'node:fs';
import { rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Readable, Writable } from 'node:stream';

/** A page open in headless Chromium, driven over its debugging pipe; drawn by software, so that no machine needs a GPU. */
export interface Session {
  /** Value of an expression in the page. */
  readonly evaluate: (expression: string) => Promise<unknown>;
  /** PNG of what the screen shows. */
  readonly screenshot: () => Promise<Buffer>;
  /** One finger, or the mouse with its button down, from one place of the screen to another. */
  readonly drag: (from: Spot, to: Spot, how: 'touch' | 'mouse') => Promise<void>;
  /** What would be printed on paper, as PDF. */
  readonly pdf: () => Promise<Buffer>;
  /** Lines on the console and errors that nobody caught. */
  readonly said: () => readonly string[];
  /** Every address that was asked for, the page's own file left out. */
  readonly asked: () => readonly string[];
  readonly close: () => Promise<void>;
}

export type Spot = readonly [number, number];

export interface Screen {
  readonly width: number;
  readonly height: number;
  /** A phone: touched, with so many dots to a pixel. */
  readonly phone?: { readonly dots: number };
  /** The browser has no WebGL. */
  readonly flat?: true;
}

type Params = Readonly<Record<string, unknown>>;
interface Message {
  readonly id?: number;
  readonly method?: string;
  readonly sessionId?: string;
  readonly params?: Record<string, unknown>;
  readonly result?: Record<string, unknown>;
  readonly error?: { readonly message: string };
}

const FLAGS = [
  '--headless',
  '--no-sandbox',
  '--hide-scrollbars',
  '--no-first-run',
  '--host-resolver-rules=MAP * ~NOTFOUND',
  '--remote-debugging-pipe',
];
const SOFTWARE = ['--use-gl=angle', '--use-angle=swiftshader', '--enable-unsafe-swiftshader'];
const WITHOUT = ['--disable-gpu', '--disable-3d-apis'];

/** Opens a page from its file on a screen of this kind and waits until it is loaded. */
export async function openSession(file: string, screen: Screen): Promise<Session> {
  const profile = mkdtempSync(join(tmpdir(), 'kerfwright-browser-'));
  const browser = spawn(
    'chromium',
    [
      ...FLAGS,
      ...(screen.flat ? WITHOUT : SOFTWARE),
      `--user-data-dir=${profile}`,
      `--window-size=${screen.width},${screen.height}`,
      'about:blank',
    ],
    // A group of its own: its helpers go on writing into the profile when it alone is ended.
    { stdio: ['ignore', 'ignore', 'ignore', 'pipe', 'pipe'], detached: true },
  );
  const said: string[] = [];
  const asked: string[] = [];
  const loaded = deferred<void>();
  const wire = wireTo(browser, ({ method, params }) => {
    if (method === 'Page.loadEventFired') loaded.resolve();
    if (method === 'Runtime.consoleAPICalled' || method === 'Runtime.exceptionThrown' || method === 'Log.entryAdded')
      said.push(`${method} ${JSON.stringify(params).slice(0, 600)}`);
    if (method === 'Network.requestWillBeSent') {
      const { url } = (params?.request ?? {}) as { readonly url?: string };
      if (url !== `file://${file}` && !url?.startsWith('data:')) asked.push(String(url));
    }
  });
  const close = async (): Promise<void> => {
    const gone = new Promise((resolve) => browser.once('exit', resolve));
    if (browser.pid) process.kill(-browser.pid, 'SIGKILL');
    await gone;
    await rm(profile, { recursive: true, force: true, maxRetries: 20, retryDelay: 50 });
  };
  try {
    const { targetId } = await wire.ask('Target.createTarget', { url: 'about:blank' });
    const { sessionId } = await wire.ask('Target.attachToTarget', { targetId, flatten: true });
    const ask = (method: string, params: Params = {}) => wire.ask(method, params, String(sessionId));
    for (const domain of ['Page', 'Runtime', 'Network', 'Log']) await ask(`${domain}.enable`);
    await ask('Emulation.setDeviceMetricsOverride', {
      width: screen.width,
      height: screen.height,
      deviceScaleFactor: screen.phone?.dots ?? 1,
      mobile: screen.phone !== undefined,
    });
    if (screen.phone) await ask('Emulation.setTouchEmulationEnabled', { enabled: true, maxTouchPoints: 2 });
    await ask('Page.navigate', { url: `file://${file}` });
    await loaded.promise;
    return { ...handles(ask), said: () => said, asked: () => asked, close };
  } catch (thrown) {
    await close();
    throw thrown;
  }
}

type Ask = (method: string, params?: Params) => Promise<Record<string, unknown>>;

const handles = (ask: Ask): Pick<Session, 'evaluate' | 'screenshot' | 'drag' | 'pdf'> => ({
  evaluate: async (expression) => {
    const { result, exceptionDetails } = await ask('Runtime.evaluate', { expression, returnByValue: true });
    if (exceptionDetails) throw new Error(JSON.stringify(exceptionDetails).slice(0, 600));
    return (result as { readonly value?: unknown }).value;
  },
  screenshot: async () => Buffer.from(String((await ask('Page.captureScreenshot', { format: 'png' })).data), 'base64'),
  pdf: async () => Buffer.from(String((await ask('Page.printToPDF', { preferCSSPageSize: true })).data), 'base64'),
  drag: async (from, to, how) => {
    const at = (share: number): { readonly x: number; readonly y: number } => ({
      x: from[0] + (to[0] - from[0]) * share,
      y: from[1] + (to[1] - from[1]) * share,
    });
    const shares = [0.25, 0.5, 0.75, 1];
    if (how === 'touch') {
      await ask('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: [at(0)] });
      for (const share of shares)
        await ask('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: [at(share)] });
      await ask('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
      return;
    }
    const mouse = (type: string, share: number) =>
      ask('Input.dispatchMouseEvent', { type, ...at(share), button: 'left', buttons: 1, clickCount: 1 });
    await mouse('mousePressed', 0);
    for (const share of shares) await mouse('mouseMoved', share);
    await mouse('mouseReleased', 1);
  },
});

/** Questions and answers over the pipe: JSON documents, a zero byte behind each. */
function wireTo(browser: ChildProcess, heard: (message: Message) => void) {
  const [toBrowser, fromBrowser] = [browser.stdio[3] as Writable, browser.stdio[4] as Readable];
  const open = new Map<number, Deferred<Record<string, unknown>>>();
  const fail = (why: string): void => {
    for (const { reject } of open.values()) reject(new Error(why));
    open.clear();
  };
  browser.once('error', () => fail('chromium did not run: install the Debian package chromium'));
  browser.once('exit', (code) => fail(`chromium ended with ${code}`));
  toBrowser.on('error', () => undefined);
  let rest = Buffer.alloc(0);
  fromBrowser.on('data', (chunk: Buffer) => {
    rest = Buffer.concat([rest, chunk]);
    for (let end = rest.indexOf(0); end >= 0; end = rest.indexOf(0)) {
      const message: Message = JSON.parse(rest.toString('utf8', 0, end));
      rest = rest.subarray(end + 1);
      const answer = message.id === undefined ? undefined : open.get(message.id);
      if (!answer) heard(message);
      else if (message.error) answer.reject(new Error(message.error.message));
      else answer.resolve(message.result ?? {});
      if (message.id !== undefined) open.delete(message.id);
    }
  });
  let asked = 0;
  return {
    ask: (method: string, params: Params, sessionId?: string): Promise<Record<string, unknown>> => {
      const id = ++asked;
      const answer = deferred<Record<string, unknown>>();
      open.set(id, answer);
      toBrowser.write(`${JSON.stringify({ id, method, params, ...(sessionId ? { sessionId } : {}) })}\0`);
      return answer.promise;
    },
  };
}

interface Deferred<T> {
  readonly promise: Promise<T>;
  readonly resolve: (value: T) => void;
  readonly reject: (why: Error) => void;
}

function deferred<T>(): Deferred<T> {
  let [resolve, reject]: [Deferred<T>['resolve'], Deferred<T>['reject']] = [() => undefined, () => undefined];
  const promise = new Promise<T>((yes, no) => {
    resolve = yes;
    reject = no;
  });
  return { promise, resolve, reject };
}
