// Phones: Chromium with a store of each one's own.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';

const executablePath = '/usr/bin/chromium';

/**
 * Only the last list of features counts: all but the last three of these are the list of playwright-core, whose place this one takes.
 * The last three are parts of the browser's own window, loaded ahead for each phone in pages of their own: nobody looks at them,
 * and they take two seconds of a core.
 */
const without = [
  'AvoidUnnecessaryBeforeUnloadCheckSync', 'DestroyProfileOnBrowserClose', 'HttpsUpgrades', 'HttpsFirstBalancedModeAutoEnable', 'LensOverlay',
  'MediaRouter', 'PaintHolding', 'ThirdPartyStoragePartitioning', 'AvoidCorsURLLoaderRestartOnRedirect', 'OptimizationHints',
  'NetworkTimeServiceQuerying', 'AimEnabled', 'PreconnectToSearch', 'PreloadTopChromeWebUI',
  'WebUIOmniboxPopup', 'WebUIOmniboxAimPopup',
];

/** A phone lives for seconds here: to compile the core twice, the second time for speed, costs more than it gives. Where speed is measured it is everybody's. */
const compiler = process.env.WITNESSMARK_BENCH === undefined ? ['--js-flags=--liftoff-only'] : [];

const browserFlags = [
  '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
  '--disable-component-update', '--disable-sync', `--disable-features=${without.join(',')}`, ...compiler,
];

export const phoneSize = { width: 390, height: 844 };
export const deskSize = { width: 1280, height: 800 };

/** For openPhone: a microphone that beeps and needs no permission. */
export const microphone = ['--use-fake-device-for-media-stream', '--use-fake-ui-for-media-stream'];

/** What any page did against its content policy, over all cases: the runner fails a case that adds to it (T56). */
export const againstPolicy = [];

/** Browsers that phones share, by the flags that they were started with. */
const shared = new Map();

async function browserWith(flags) {
  const name = flags.join(' ');
  if (shared.get(name)?.isConnected() !== true) shared.set(name, await chromium.launch({ executablePath, headless: true, args: [...browserFlags, ...flags] }));
  return shared.get(name);
}

/** Ends the browsers that phones shared. */
export const closeBrowsers = async () => {
  for (const browser of shared.values()) await browser.close();
};

/**
 * A phone: its own store, cache and cookies, which end with it, in a browser that other phones of this process share. One that
 * is `lasting` has a browser and a profile on the disk to itself: it can be killed, and opened again with its `profile`.
 */
export async function openPhone(origin, { size = phoneSize, profile, lasting = profile !== undefined, dark = false, userAgent, init, flags = [] } = {}) {
  const folder = profile ?? mkdtempSync(join(tmpdir(), 'witnessmark-phone-'));
  const options = {
    viewport: size, hasTouch: size.width < 600, colorScheme: dark ? 'dark' : 'light', locale: 'en-GB',
    ...(userAgent === undefined ? {} : { userAgent }),
  };
  const context = lasting
    ? await chromium.launchPersistentContext(folder, { executablePath, headless: true, args: [...browserFlags, ...flags], ...options })
    : await (await browserWith(flags)).newContext(options);
  const kill = lasting ? killerOf(folder, context) : undefined;
  if (init !== undefined) await context.addInitScript(init);
  context.setDefaultTimeout(30_000);
  const page = context.pages()[0] ?? (await context.newPage());
  const complaints = [];
  page.on('pageerror', (e) => complaints.push(`page error: ${e.stack}`));
  page.on('console', (m) => {
    if (m.type() !== 'error' || !/Content Security Policy|Trusted(HTML|Script)/i.test(m.text())) return;
    complaints.push(m.text());
    againstPolicy.push(m.text());
  });
  return {
    page, context, profile: folder, complaints, origin, kill,
    offline: (off) => context.setOffline(off),
    close: () => context.close(),
    forget: async () => {
      await context.close();
      sweep(folder);
    },
  };
}

/** Ends the browser of a profile as a dying phone does: without a word. */
function killerOf(folder, context) {
  // The process that keeps the store, looked for now: when it is to end it shall end at once.
  const processes = spawnSync('pgrep', ['-f', `user-data-dir=${folder}`], { encoding: 'utf8' }).stdout.split('\n').filter((n) => n !== '').map(Number);
  const first = processes.find((pid) => commandOf(pid) !== '' && !commandOf(pid).includes('--type='));
  return async () => {
    const gone = new Promise((resolve) => context.once('close', resolve));
    process.kill(first, 'SIGKILL');
    spawnSync('pkill', ['-KILL', '-f', `user-data-dir=${folder}`]); // the others, as far as they are still there
    await gone;
  };
}

/** How a process was called; '' when it has gone. */
function commandOf(pid) {
  try {
    return readFileSync(`/proc/${pid}/cmdline`, 'utf8');
  } catch {
    return '';
  }
}

/** Removes a profile. A process of the browser may still write its last file: then it is removed when all is over. */
function sweep(folder) {
  const away = () => rmSync(folder, { recursive: true, force: true, maxRetries: 5, retryDelay: 100 });
  try {
    away();
  } catch {
    process.once('exit', () => {
      try {
        away();
      } catch {
        // A folder in the temporary files that stays is no fault of the case.
      }
    });
  }
}
