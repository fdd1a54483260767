import { describe, expect, it } from 'vitest';
import type { ReportPage } from '../../src/report/index.js';
import { escapeMarkup, writeReportPage } from '../../src/report/index.js';

const EVIL = '"><script>alert(1)</script><img src=x onerror=alert(1)>\'';

const page = (name: string): ReportPage => ({
  title: name,
  facts: [[name, name]],
  notes: [name],
  comparison: { caption: name, columns: [name], rows: [[name]] },
  sets: [
    {
      title: name,
      summary: name,
      facts: [[name, name]],
      layout: '<svg xmlns="http://www.w3.org/2000/svg"/>',
      views: [{ name, png: Uint8Array.from({ length: 20000 }, (_, i) => i % 251) }],
      tables: [{ caption: name, columns: [name], rows: [[name]] }],
    },
  ],
});

const tags = (html: string) => [...html.matchAll(/<[a-z!/][^>]*>/g)].map(([tag]) => tag.split(/[\s>]/)[0]);

describe('writeReportPage', () => {
  it('lets no name become markup', () => {
    const html = writeReportPage(page(EVIL));
    expect(html).not.toContain('<script');
    expect(html).not.toMatch(/<img src=x/);
    expect(tags(html)).toEqual(tags(writeReportPage(page('plain'))));
    expect(html.split(escapeMarkup(EVIL)).length - 1).toBeGreaterThan(10);
  });

  it('fetches nothing', () => {
    const html = writeReportPage(page('plain'));
    for (const [, address] of html.matchAll(/(?:src|href)="([^"]*)"/g))
      expect(address).toMatch(/^data:image\//);
    expect(html).not.toMatch(/https?:/);
  });

  it('holds pictures byte for byte', () => {
    const [, base64] = /data:image\/png;base64,([^"]*)"/.exec(writeReportPage(page('plain')))!;
    expect(Uint8Array.from(Buffer.from(base64!, 'base64'))).toEqual(page('plain').sets[0]!.views[0]!.png);
  });
});

describe('escapeMarkup', () => {
  it('replaces characters that XML cannot hold', () => {
    expect(escapeMarkup('a\u0000b\ud800c\ufffe')).toBe('a\ufffdb\ufffdc\ufffd');
    expect(escapeMarkup('toString constructor __proto__')).toBe('toString constructor __proto__');
  });
});
