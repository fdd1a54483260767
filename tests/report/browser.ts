import { existsSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Browser, Page } from 'playwright-core';
import { chromium } from 'playwright-core';

const PATHS = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/lib/chromium/chromium'];

/** Debian's chromium, if it is there. */
export const chromiumPath = PATHS.find((path) => existsSync(path));

if (!chromiumPath) process.stderr.write('skipped: the tests of the page need Debian’s chromium\n');

/**
 * A browser that draws in software, so that pictures do not depend on the machine. What a page draws by WebGL goes
 * through a graphics card in software; the page itself is put together without one, which takes half the time.
 */
export function launchBrowser(): Promise<Browser> {
  return chromium.launch({
    executablePath: chromiumPath!,
    args: [
      '--no-sandbox',
      '--use-gl=angle',
      '--use-angle=swiftshader',
      '--enable-unsafe-swiftshader',
      '--disable-gpu-compositing',
    ],
  });
}

/** A page with what it complained of and what it asked the network for. */
export interface OpenedPage {
  readonly page: Page;
  readonly complaints: string[];
}

export interface OpenOptions {
  readonly width?: number;
  readonly height?: number;
  readonly theme?: 'light' | 'dark';
}

/** Opens a file from disk and waits until the review is built. */
export async function openPage(
  browser: Browser,
  file: string,
  options: OpenOptions = {},
): Promise<OpenedPage> {
  const context = await browser.newContext({
    viewport: { width: options.width ?? 1280, height: options.height ?? 720 },
    colorScheme: options.theme ?? 'light',
    acceptDownloads: true,
  });
  context.setDefaultTimeout(60_000);
  const page = await context.newPage();
  const complaints: string[] = [];
  page.on('console', (message) => {
    // Chromium itself remarks that reading pixels back takes time in software.
    if (!/GPU stall due to ReadPixels/.test(message.text()))
      complaints.push(`${message.type()}: ${message.text()}`);
  });
  page.on('pageerror', (error) => complaints.push(`error: ${error.message}`));
  page.on('dialog', (dialog) => {
    complaints.push(`dialog: ${dialog.message()}`);
    void dialog.dismiss();
  });
  const address = `file://${file}`;
  page.on('request', (request) => {
    if (request.url() !== address && !/^(data|blob):/.test(request.url()))
      complaints.push(`request: ${request.url()}`);
  });
  await page.goto(address);
  await page.waitForSelector('#review[data-ready=yes]');
  return { page, complaints };
}

/** In the page: waits until what was asked for last has been drawn whole and is on the screen. */
const SETTLED = `(async () => {
  const frames = async (count) => {
    for (let i = 0; i < count; i++) await new Promise((done) => requestAnimationFrame(done));
  };
  await frames(3);
  while (!document.querySelector('.stage[data-shown=whole]')) await frames(1);
  await frames(2);
})()`;

/** Waits until what was asked for last has been drawn whole and is on the screen. */
export async function settle(page: Page): Promise<void> {
  await page.evaluate(SETTLED);
}

/** A picture of one element when what was asked for last has been drawn whole. */
export async function shoot(page: Page, selector: string): Promise<Buffer> {
  // Scrolled there if it is not in view whole, as by a reader who wants to see it.
  const box = `${SETTLED}.then(() => {
    const element = document.querySelector(${JSON.stringify(selector)});
    element.scrollIntoView({ block: 'nearest', inline: 'nearest' });
    const { left, top, width, height } = element.getBoundingClientRect();
    return { x: Math.round(left), y: Math.round(top), width: Math.round(width), height: Math.round(height) };
  })`;
  return page.screenshot({ clip: await page.evaluate(box) });
}

const axeScript = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

/** What axe-core calls a serious or critical problem of the page as it is. */
export async function findSerious(page: Page): Promise<string[]> {
  await page.evaluate(axeScript);
  const { violations } = (await page.evaluate("axe.run({ resultTypes: ['violations'] })")) as {
    violations: { id: string; impact: string; nodes: { html: string }[] }[];
  };
  return violations
    .filter(({ impact }) => impact === 'serious' || impact === 'critical')
    .map(({ id, nodes }) => `${id}: ${nodes.map((node) => node.html).join(' ')}`);
}

/** Reads PNG pictures in a page of its own; the sums are done there, since pixels are slow to hand over. */
const READER = `
const pixelsOf = async (text) => {
  const image = new Image();
  image.src = 'data:image/png;base64,' + text;
  await image.decode();
  const canvas = new OffscreenCanvas(image.width, image.height);
  const context = canvas.getContext('2d');
  context.drawImage(image, 0, 0);
  return context.getImageData(0, 0, image.width, image.height).data;
};
const gap = (p, q, i, j) => [0, 1, 2].map((k) => Math.abs(p[i + k] - q[j + k]));
window.difference = async (a, b) => {
  const [p, q] = await Promise.all([pixelsOf(a), pixelsOf(b)]);
  let count = 0;
  for (let i = 0; i < p.length; i += 4) {
    const [r, g, b] = gap(p, q, i, i);
    if (r + g + b > 24) count++;
  }
  return (4 * count) / p.length;
};
window.share = async (a, colour, tolerance) => {
  const p = await pixelsOf(a);
  let count = 0;
  for (let i = 0; i < p.length; i += 4) if (Math.max(...gap(p, colour, i, 0)) <= tolerance) count++;
  return (4 * count) / p.length;
};
`;

/** Looks at PNG pictures with a browser's own decoder. */
export class PictureReader {
  readonly #page: Page;

  private constructor(page: Page) {
    this.#page = page;
  }

  static async open(browser: Browser): Promise<PictureReader> {
    const page = await browser.newPage();
    await page.evaluate(READER);
    return new PictureReader(page);
  }

  /** Share of the pixels that differ between two pictures of one size. */
  difference(a: Buffer, b: Buffer): Promise<number> {
    return this.#page.evaluate(`difference('${a.toString('base64')}', '${b.toString('base64')}')`);
  }

  /** Share of the pixels near a colour. */
  share(picture: Buffer, colour: readonly [number, number, number], tolerance = 12): Promise<number> {
    return this.#page.evaluate(
      `share('${picture.toString('base64')}', ${JSON.stringify(colour)}, ${tolerance})`,
    );
  }
}

/** One element of a page with the last picture of it, to which the next one is compared. */
export class Watched {
  readonly #page: Page;
  readonly #selector: string;
  readonly #pictures: PictureReader;
  #last: Buffer;

  private constructor(page: Page, selector: string, pictures: PictureReader, last: Buffer) {
    this.#page = page;
    this.#selector = selector;
    this.#pictures = pictures;
    this.#last = last;
  }

  /** Takes the first picture. */
  static async of(page: Page, selector: string, pictures: PictureReader): Promise<Watched> {
    return new Watched(page, selector, pictures, await shoot(page, selector));
  }

  /** Share of the pixels that differ from the last picture when something has been done. */
  async change(act: () => Promise<unknown> = async () => {}): Promise<number> {
    await act();
    const before = this.#last;
    this.#last = await shoot(this.#page, this.#selector);
    return this.#pictures.difference(before, this.#last);
  }

  /** Share of the last picture's pixels near a colour. */
  share(colour: readonly [number, number, number], tolerance?: number): Promise<number> {
    return this.#pictures.share(this.#last, colour, tolerance);
  }
}
