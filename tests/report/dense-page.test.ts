import { mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { packReview, type ReviewModel, writeReportPage } from '../../src/report/index.js';
import { PageMesh } from '../../src/report/page/page-mesh.js';
import { findStandIn } from '../../src/report/page/stand-in.js';
import { chromiumPath, launchBrowser, openPage, PictureReader, settle, shoot } from './browser.js';
import { gridModel } from './grid-model.js';

const FIGURE = '.panel.figure .window';
const SHEET = '.panel.sheet .window';

const model: ReviewModel = gridModel(260, 130, 1, 'cloth');

describe('the coarse stand-in of a dense surface', () => {
  const mesh = new PageMesh(model);
  const set = model.sets[0]!;
  const { triangles: coarse, corners } = findStandIn(mesh, set);
  const pointsOf = (list: ArrayLike<number>) =>
    Array.from(list, (i) => mesh.cornerPoints[mesh.triangles[i]!]!);

  it('is much smaller, and each of its triangles lies in one piece', () => {
    expect(coarse.length).toBeGreaterThan(0);
    expect(coarse.length).toBeLessThan(mesh.triangles.length / 2);
    for (let t = 0; t < coarse.length; t += 3) {
      const charts = [0, 1, 2].map((k) => set.faceCharts[mesh.cornerFaces[mesh.triangles[coarse[t + k]!]!]!]);
      expect(new Set(charts).size).toBe(1);
    }
  });

  it('takes the ends of a seam along, in their own pieces', () => {
    const used = new Set(pointsOf(coarse));
    for (const corner of set.seams[0]!.corners) {
      const standIn = corners[corner]!;
      expect(used).toContain(mesh.cornerPoints[standIn]);
      expect(set.faceCharts[mesh.cornerFaces[standIn]!]).toBe(set.faceCharts[mesh.cornerFaces[corner]!]);
    }
  });

  it('covers the sheet without a gap, the seam between the pieces included', () => {
    // Seen from the front the cloth is a rectangle, so the areas of its triangles there add up to it.
    const areaOf = (list: ArrayLike<number>) => {
      const points = pointsOf(list);
      const at = (i: number, k: number) => model.points[3 * points[i]! + k]!;
      let area = 0;
      for (let i = 0; i < points.length; i += 3)
        area +=
          ((at(i + 1, 0) - at(i, 0)) * (at(i + 2, 1) - at(i, 1)) -
            (at(i + 1, 1) - at(i, 1)) * (at(i + 2, 0) - at(i, 0))) /
          2;
      return area;
    };
    const whole = areaOf(mesh.triangles.map((_, i) => i));
    expect(whole).toBeCloseTo(260 * 130, 3);
    // A cell at the rim may be lost, nothing inside.
    expect(areaOf(coarse) / whole).toBeGreaterThan(0.95);
    expect(areaOf(coarse) / whole).toBeLessThanOrEqual(1.0001);
  });
});

describe.skipIf(!chromiumPath)('the page of a dense model', () => {
  const folder = mkdtempSync(join(tmpdir(), 'dense-'));
  const path = join(folder, 'report.html');
  let browser: Browser;
  let pictures: PictureReader;

  beforeAll(async () => {
    const comparison = { caption: 'none', columns: [], rows: [] };
    const page = { title: 'Cloth', facts: [], notes: [], comparison, sets: [] };
    writeFileSync(path, writeReportPage({ ...page, review: packReview(model) }));
    browser = await launchBrowser();
    pictures = await PictureReader.open(browser);
  }, 60_000);

  afterAll(async () => {
    await browser?.close();
    rmSync(folder, { recursive: true, force: true });
  });

  it('takes less than 1.5 MB for 33,800 faces', () => {
    expect(statSync(path).size).toBeLessThan(1.5e6);
  });

  it('opens with the stand-in, and is whole when it rests', async () => {
    const context = await browser.newContext({ viewport: { width: 1280, height: 720 } });
    const page = await context.newPage();
    await page.addInitScript(`
      window.drawn = [];
      new MutationObserver((list) => {
        for (const { target } of list) if (target.matches('.panel.figure')) window.drawn.push(target.dataset.drawn);
      }).observe(document, { attributes: true, attributeFilter: ['data-pictures'], subtree: true });
    `);
    await page.goto(`file://${path}`);
    await page.waitForSelector('.panel.figure[data-drawn=whole]');
    const drawn = (await page.evaluate('window.drawn')) as string[];
    expect(drawn[0]).toBe('coarse');
    expect(drawn.at(-1)).toBe('whole');
    await context.close();
  });

  it('draws the stand-in while the view moves, every face at rest, and nothing while nothing changes', async () => {
    const { page, complaints } = await openPage(browser, path);
    const panel = page.locator('.panel.figure').first();
    const drawn = async () => {
      const [how, triangles, pictures] = await Promise.all(
        ['data-drawn', 'data-triangles', 'data-pictures'].map((name) => panel.getAttribute(name)),
      );
      return { how, triangles: Number(triangles), pictures: Number(pictures) };
    };
    const becomes = (how: string) =>
      expect.poll(async () => (await drawn()).how, { timeout: 30_000 }).toBe(how);
    await becomes('whole');
    const faces = 260 * 130;
    expect((await drawn()).triangles).toBeGreaterThanOrEqual(2 * faces);
    const box = (await page.locator(FIGURE).first().boundingBox())!;
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();

    await page.selectOption('#pace', 'whole');
    const { pictures } = await drawn();
    await page.mouse.move(x + 20, y);
    await expect.poll(async () => (await drawn()).pictures, { timeout: 30_000 }).toBeGreaterThan(pictures);
    expect((await drawn()).how).toBe('whole');

    await page.selectOption('#pace', 'coarse');
    const seen: Awaited<ReturnType<typeof drawn>>[] = [];
    for (let i = 1; i <= 20 || !seen.some(({ how }) => how === 'coarse'); i++) {
      await page.mouse.move(x + 40 * Math.sin(i), y);
      seen.push(await drawn());
    }
    for (const { how, triangles } of seen)
      if (how === 'coarse') expect(triangles).toBeLessThan(faces / 2);
      else expect(triangles).toBeGreaterThanOrEqual(2 * faces);
    await page.mouse.up();
    await becomes('whole');
    const rested = await drawn();
    expect(rested.triangles).toBeGreaterThanOrEqual(2 * faces);
    await page.waitForTimeout(400);
    expect(await drawn()).toEqual(rested);
    expect(complaints).toEqual([]);
    await page.context().close();
  });

  it('is drawn whole again when it rests, however it was drawn on the way; names stand on the sheet', async () => {
    const { page, complaints } = await openPage(browser, path);
    expect(await page.locator(`${SHEET} .names span`).allTextContents()).toEqual(['cloth', 'cloth']);
    const box = (await page.locator(FIGURE).first().boundingBox())!;
    const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    for (let i = 1; i <= 12; i++) await page.mouse.move(x + 6 * i, y);
    await page.mouse.up();
    await page.mouse.move(2, 2);
    const rested = async () => {
      // Whole it is drawn twice: at once, where that is quick, and at rest.
      await page.waitForTimeout(500);
      return shoot(page, FIGURE);
    };
    const moved = await rested();
    const sheet = await shoot(page, SHEET);
    // Another cloth and back again: drawn anew, whole, as nothing moves.
    await page.selectOption('#cloth', '48');
    await shoot(page, FIGURE);
    await page.selectOption('#cloth', '0');
    expect(await pictures.difference(moved, await rested())).toBeLessThan(0.0005);
    expect(await pictures.difference(sheet, await shoot(page, SHEET))).toBeLessThan(0.0005);
    expect(complaints).toEqual([]);
    await page.context().close();
  });

  it('keeps what lies between two fingers between them, nearer as they part, and goes back as they close', async () => {
    const { page } = await openPage(browser, path, { width: 390, height: 844 });
    await page.locator(SHEET).first().scrollIntoViewIfNeeded();
    const cdp = await page.context().newCDPSession(page);
    const names = () =>
      page.locator(`${SHEET} .names span`).evaluateAll((spans) =>
        spans.map((span) => {
          const { left, top, width, height } = span.getBoundingClientRect();
          return { x: left + width / 2, y: top + height / 2 };
        }),
      );
    const pinch = async (middle: { x: number; y: number }, from: number, to: number, slide = 0) => {
      const touch = (type: 'touchStart' | 'touchMove', part: number) => {
        const spread = from + (to - from) * part;
        const x = middle.x + slide * part;
        const touchPoints = [-1, 1].map((side, id) => ({ x: x + side * spread, y: middle.y, id }));
        return cdp.send('Input.dispatchTouchEvent', { type, touchPoints });
      };
      await touch('touchStart', 0);
      for (let i = 1; i <= 8; i++) await touch('touchMove', i / 8);
      await cdp.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
      await settle(page);
    };
    const near = (a: { x: number; y: number }, x: number, y: number) => {
      expect(Math.abs(a.x - x)).toBeLessThan(2);
      expect(Math.abs(a.y - y)).toBeLessThan(2);
    };
    await settle(page);
    const before = await names();
    expect(before).toHaveLength(2);
    const gap = before[1]!.x - before[0]!.x;
    // The left name is off the middle of the window, where a zoom about that middle would carry it away.
    await pinch(before[0]!, 40, 60);
    const parted = await names();
    near(parted[0]!, before[0]!.x, before[0]!.y);
    near(parted[1]!, before[0]!.x + 1.5 * gap, before[1]!.y + 0.5 * (before[1]!.y - before[0]!.y));
    await pinch(parted[0]!, 60, 40);
    const closed = await names();
    for (const k of [0, 1]) near(closed[k]!, before[k]!.x, before[k]!.y);
    await pinch(closed[0]!, 40, 40, 24);
    for (const [k, name] of (await names()).entries()) near(name, before[k]!.x + 24, before[k]!.y);
    await page.context().close();
  });
});
