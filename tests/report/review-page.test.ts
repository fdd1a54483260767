import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { packReview, writeReportPage } from '../../src/report/index.js';
import { runInProcess } from '../cli/run-in-process.js';
import {
  chromiumPath,
  findSerious,
  launchBrowser,
  type OpenedPage,
  openPage,
  PictureReader,
  Watched,
} from './browser.js';
import { writeFigure } from './figure-file.js';
import { gridModel } from './grid-model.js';

interface Proposed {
  readonly dropped: readonly { readonly name: string; readonly reason: string }[];
  readonly sets: readonly {
    readonly name: string;
    readonly summary: string;
    readonly charts: readonly unknown[];
    readonly seams: readonly {
      readonly role: string;
      readonly reason: string;
      readonly length: number;
      readonly edges: readonly (readonly [number, number])[];
    }[];
  }[];
}

const FIGURE = '.panel.figure .window';
const SHEET = '.panel.sheet .window';
const TOOL = (tool: string) => `input[name=tool][value=${tool}]`;

const HOSTILE = [
  '</script><script>alert(1)</script>',
  '<img src=x onerror=alert(1)>',
  '"><svg onload=alert(1)>',
  '<!--<script>',
  "' onfocus='alert(1)",
  '\u2028;alert(1)\\',
];

/** Sets a page back to what it shows when it is opened, by its own controls. */
const START_AFRESH = `
for (const [id, value] of [['beside', '-1'], ['shading', 'charts'], ['cloth', '0'], ['plot-up', 'predicted']]) {
  const select = document.getElementById(id);
  select.value = value;
  select.dispatchEvent(new Event('change'));
}
const slider = document.getElementById('unfold');
slider.value = 0;
slider.dispatchEvent(new Event('input'));
document.querySelector('input[name=set]').click();
document.querySelector('${TOOL('look')}').click();
for (const label of document.querySelectorAll('label.tick'))
  if (label.textContent.includes('Mesh lines') && label.firstChild.checked) label.click();
for (const button of document.querySelectorAll('.buttons button'))
  if (button.textContent === 'Take all off') button.click();
for (const pane of document.querySelectorAll('.panel .window')) pane.dispatchEvent(new MouseEvent('dblclick'));
document.activeElement.blur();
scrollTo(0, 0);
`;

/** Words of the plot that stick out of it or run over one another, whatever is chosen upwards. */
const UNTIDY_WORDS = `[...document.querySelectorAll('#plot-up option')].flatMap(({ value }) => {
  const select = document.querySelector('#plot-up');
  select.value = value;
  select.dispatchEvent(new Event('change'));
  const frame = document.querySelector('.plot svg').getBoundingClientRect();
  const texts = [...document.querySelectorAll('.plot svg > text')];
  const boxes = texts.map((text) => text.getBoundingClientRect());
  const isOut = (a) => a.left < frame.left || a.right > frame.right || a.top < frame.top || a.bottom > frame.bottom;
  const isOver = (a, b) => a !== b && a.left < b.right - 2 && b.left < a.right - 2 && a.top < b.bottom - 2 && b.top < a.bottom - 2;
  return texts.filter((_, i) => isOut(boxes[i]) || boxes.some((b) => isOver(boxes[i], b))).map((text) => value + ': ' + text.textContent);
})`;

describe.skipIf(!chromiumPath)('the review page', () => {
  const folder = mkdtempSync(join(tmpdir(), 'review-'));
  const model = join(folder, 'figure.obj');
  const report = join(folder, 'out', 'report.html');
  let browser: Browser;
  let pictures: PictureReader;
  let proposed: Proposed;
  let counts: { pointCount: number; faceCount: number };

  beforeAll(async () => {
    counts = writeFigure(model);
    const starting = launchBrowser();
    const { code, error } = await runInProcess([
      'propose',
      model,
      '--sets',
      '2',
      '--stretch-limit',
      '5',
      '--effort',
      '0',
      '--out',
      join(folder, 'out'),
    ]);
    browser = await starting;
    expect(error).not.toContain('seamwright:');
    expect(code).toBe(0);
    proposed = JSON.parse(readFileSync(join(folder, 'out', 'proposal.json'), 'utf8')) as Proposed;
    pictures = await PictureReader.open(browser);
  }, 120_000);

  afterAll(async () => {
    await browser?.close();
    rmSync(folder, { recursive: true, force: true });
  });

  let opened: Promise<OpenedPage> | undefined;
  /** The page at its usual size in the light, opened once; the others are opened and closed by their tests. */
  const usual = () => (opened ??= openPage(browser, report));
  const watch = (page: Page, selector: string) => Watched.of(page, selector, pictures);
  const slide = (page: Page, value: number) =>
    page.evaluate(
      `(() => { const slider = document.querySelector('#unfold'); slider.value = ${value}; slider.dispatchEvent(new Event('input')); })()`,
    );
  const middle = async (page: Page, selector: string) => {
    const box = (await page.locator(selector).first().boundingBox())!;
    return [box.x + box.width / 2, box.y + box.height / 2] as const;
  };

  describe.each([
    { width: 1280, height: 720, theme: 'light' },
    { width: 1280, height: 720, theme: 'dark' },
    { width: 390, height: 844, theme: 'light' },
    { width: 390, height: 844, theme: 'dark' },
  ] as const)('at $width × $height, $theme', (options) => {
    const isUsual = options.width === 1280 && options.theme === 'light';

    it('opens without complaint or request, satisfies axe, shows sets, lights up, lays flat, saves a mark', async () => {
      const { page, complaints } = await (isUsual ? usual() : openPage(browser, report, options));
      expect(await page.evaluate('document.documentElement.scrollWidth - innerWidth')).toBeLessThanOrEqual(0);
      const figure = await watch(page, FIGURE);
      const sheet = await watch(page, SHEET);
      for (const each of [figure, sheet]) {
        const table = options.theme === 'light' ? ([228, 223, 210] as const) : ([21, 19, 15] as const);
        const rest = await each.share(table);
        expect(rest).toBeGreaterThan(0.05);
        expect(rest).toBeLessThan(0.95);
      }
      await page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true; })");
      const clipped = `[...document.querySelectorAll('.notes, .notes .scroll')].filter((each) => each.scrollWidth > each.clientWidth).map((each) => each.textContent)`;
      expect(await page.evaluate(clipped)).toEqual([]);
      expect(await findSerious(page)).toEqual([]);
      expect(complaints).toEqual([]);

      await page.evaluate('scrollTo(0, 0)');
      const toSecond = async () => {
        await page.locator('.ticket').nth(1).click();
        await page.mouse.move(2, 2);
      };
      expect(await sheet.change(toSecond)).toBeGreaterThan(0.02);
      expect(await page.locator('.panel figcaption').first().textContent()).toBe('figure, set 2');
      const { seams } = proposed.sets[1]!;
      expect(await page.locator('.list').first().locator('button').count()).toBe(seams.length);

      const longest = [...seams].sort((a, b) => b.length - a.length)[0]!;
      expect(await figure.change()).toBeGreaterThan(0.0005);
      const light = () => page.locator('.list').first().locator('button').first().focus();
      expect(await sheet.change(light)).toBeGreaterThan(0.002);
      expect(await figure.change()).toBeGreaterThan(0.0005);
      const words = await page.locator('.aim').textContent();
      expect(words).toContain(longest.role);
      expect(words).toContain(longest.reason);
      expect(words).toMatch(/length [\d.]+, exposure \d+ %/);

      expect(await figure.change(() => slide(page, 50))).toBeGreaterThan(0.03);
      expect(await figure.change(() => slide(page, 100))).toBeGreaterThan(0.03);
      const paper = options.theme === 'light' ? ([255, 255, 255] as const) : ([207, 202, 191] as const);
      expect(await figure.share(paper, 2)).toBeGreaterThan(0.02);
      await page.locator(TOOL('keep')).check();
      expect(await figure.change(() => slide(page, 0))).toBeGreaterThan(0.03);
      const mark = async () => {
        await page.locator(FIGURE).first().scrollIntoViewIfNeeded();
        await page.mouse.click(...(await middle(page, FIGURE)));
      };
      expect(await figure.change(mark)).toBeGreaterThan(0.0003);
      expect(await page.locator('.count').textContent()).toBe('1 edge to cut.');
      const [download] = await Promise.all([
        page.waitForEvent('download'),
        page.getByRole('button', { name: 'Save hints' }).click(),
      ]);
      const hints = JSON.parse(readFileSync(await download.path(), 'utf8')) as { keep: [number, number][] };
      expect(hints.keep).toHaveLength(1);
      for (const point of hints.keep[0]!) expect(point).toBeLessThan(counts.pointCount);
      expect(complaints).toEqual([]);
      if (!isUsual) await page.context().close();
    });
  });

  describe('on one page, set back before each', () => {
    let page: Page;

    beforeEach(async () => {
      ({ page } = await usual());
      await page.mouse.move(2, 2);
      await page.evaluate(START_AFRESH);
    });

    it('lights up on the other side what the pointer is over, and names it', async () => {
      const figure = await watch(page, FIGURE);
      const change = await figure.change(async () => {
        const box = (await page.locator(SHEET).first().boundingBox())!;
        for (let i = 1; i < 40 && (await page.locator('.list .lit').count()) === 0; i++) {
          // A slanting row of places, since there may be bare paper at any one of them.
          await page.mouse.move(box.x + box.width * (0.3 + 0.01 * i), box.y + box.height * (0.1 + 0.02 * i));
          await page.evaluate(
            'new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))',
          );
        }
      });
      expect(change).toBeGreaterThan(0.001);
      expect(await page.locator('.aim').textContent()).toMatch(/length|stretch predicted/);
    });

    it('colours by each measure with a legend in numbers', async () => {
      const sheet = await watch(page, SHEET);
      for (const shading of ['parts', 'ratio', 'area', 'exposure', 'forecast', 'charts']) {
        const change = await sheet.change(() => page.selectOption('#shading', shading));
        expect(change, shading).toBeGreaterThan(0.01);
        expect(await page.locator('.legend').textContent(), shading).toMatch(/\d/);
      }
      const figure = await watch(page, FIGURE);
      expect(await figure.change(() => page.selectOption('#cloth', '48'))).toBeGreaterThan(0.01);
      expect(await figure.change(() => page.getByLabel('Mesh lines').check())).toBeGreaterThan(0.001);
    });

    it('shows two sets side by side and weighs them in words; the plot chooses', async () => {
      await page.selectOption('#beside', '1');
      expect(await page.locator('.panel:visible').count()).toBe(4);
      expect(await page.locator('.trade').textContent()).toContain('Set 1');
      const other = page.locator('.panel.figure .window').nth(1);
      expect(await pictures.share(await other.screenshot(), [228, 223, 210])).toBeLessThan(0.98);
      await page.selectOption('#beside', '-1');
      const { dropped } = proposed;
      expect(dropped.length).toBeGreaterThan(0);
      expect(await page.locator('.plot .dropped').count()).toBe(dropped.length);
      expect(await page.locator('details.dropped li').count()).toBe(dropped.length);
      await page.locator('.plot .dropped').first().focus();
      expect(await page.locator('.told').textContent()).toContain(dropped[0]!.reason);
      await page.selectOption('#plot-up', 'fill');
      expect(await page.locator('.plot .dropped').count()).toBe(0);
      expect(await page.locator('.told').textContent()).toContain('never laid on a sheet');
      expect(await page.evaluate(UNTIDY_WORDS)).toEqual([]);
      await page.locator('.plot [data-set="1"]').focus();
      await page.keyboard.press('Enter');
      expect(await page.locator('input[name=set][value="1"]').isChecked()).toBe(true);
    });

    it('is turned, brought nearer and marked with the keyboard alone', async () => {
      await page.locator(FIGURE).first().focus();
      const figure = await watch(page, FIGURE);
      expect(await figure.change(() => page.keyboard.press('ArrowLeft'))).toBeGreaterThan(0.005);
      expect(await figure.change(() => page.keyboard.press('+'))).toBeGreaterThan(0.01);
      await page.locator(TOOL('avoid')).focus();
      await page.keyboard.press('Space');
      await page.locator(FIGURE).first().focus();
      await page.keyboard.press('Enter');
      expect(await page.locator('.count').textContent()).toBe('1 edge to avoid.');
    });

    it('makes a hints file of every kind of mark that the next proposal obeys and the page reads back', async () => {
      const [x, y] = await middle(page, FIGURE);
      const use = async (tool: string, ...places: (readonly [number, number])[]) => {
        await page.locator(TOOL(tool)).check();
        for (const [dx, dy] of places) await page.mouse.click(x + dx, y + dy);
      };
      await use('keep', [0, -30]);
      await use('avoid', [0, -60]);
      await use('waypoint', [-20, 80], [-20, 130]);
      await use('pin', [8, -40], [8, 10]);
      await use('push-away', [18, 110]);
      const [download] = await Promise.all([
        page.waitForEvent('download'),
        page.getByRole('button', { name: 'Save hints' }).click(),
      ]);
      const path = join(folder, 'hints.json');
      await download.saveAs(path);
      const text = readFileSync(path, 'utf8');
      const hints = JSON.parse(text) as Record<'keep' | 'avoid' | 'waypoints' | 'pins', number[][]> & {
        paint: number[];
      };
      expect([hints.keep.length, hints.avoid.length, hints.waypoints.length, hints.pins.length]).toEqual([
        1, 1, 1, 1,
      ]);
      expect(hints.paint).toHaveLength(counts.faceCount);
      expect(hints.paint).toContain(1);

      const { code, out, error } = await runInProcess([
        'propose',
        model,
        '--sets',
        '1',
        '--stretch-limit',
        '5',
        '--effort',
        '0',
        '--hints',
        path,
        '--json',
      ]);
      expect(error).not.toContain('seamwright:');
      expect(code).toBe(0);
      const edges = (JSON.parse(out) as Proposed).sets[0]!.seams.flatMap((seam) => seam.edges);
      const has = ([a, b]: readonly number[]) =>
        edges.some(([p, q]) => (p === a && q === b) || (p === b && q === a));
      expect(has(hints.keep[0]!)).toBe(true);
      const points = new Set(edges.flat());
      for (const point of hints.waypoints[0]!) expect(points).toContain(point);

      await page.getByRole('button', { name: 'Take all off' }).click();
      expect(await page.locator('.count').textContent()).toBe('Nothing marked yet.');
      await page.setInputFiles('#hints-file', path);
      await expect.poll(() => page.locator('.count').textContent()).toContain('edge');
      const [again] = await Promise.all([
        page.waitForEvent('download'),
        page.getByRole('button', { name: 'Save hints' }).click(),
      ]);
      expect(readFileSync(await again.path(), 'utf8')).toBe(text);
      writeFileSync(path, '{"keep": [[0, 999999]]}');
      await page.setInputFiles('#hints-file', path);
      await expect.poll(() => page.locator('.count').textContent()).toContain('fit');
    });
  });

  it('shows hostile names as text and nothing else', async () => {
    const name = HOSTILE.join(' ');
    const path = join(folder, 'hostile.html');
    const table = { caption: name, columns: [name], rows: [[name]] };
    writeFileSync(
      path,
      writeReportPage({
        title: name,
        facts: [[name, name]],
        notes: [name],
        comparison: table,
        sets: [
          {
            title: name,
            summary: name,
            facts: [],
            layout: '<svg xmlns="http://www.w3.org/2000/svg"/>',
            views: [],
            tables: [table],
          },
        ],
        review: packReview(gridModel(6, 5, 2, name)),
      }),
    );
    const { page, complaints } = await openPage(browser, path);
    for (const shading of ['parts', 'charts']) await page.selectOption('#shading', shading);
    await page.locator('.list button').first().focus();
    expect(await page.locator('.aim').textContent()).toContain(name);
    expect(await page.locator('.legend').textContent()).toContain(name);
    expect(await page.locator('h1').textContent()).toBe(name);
    expect(await page.locator('script').count()).toBe(3);
    expect(await page.evaluate("document.querySelectorAll('[onerror], [onload], img[src=x]').length")).toBe(
      0,
    );
    expect(complaints).toEqual([]);
    await page.context().close();
  });
});
