/** A number for reading: three significant digits, or whole above a thousand. */
export function formatNumber(value: number): string {
  if (!Number.isFinite(value)) return value > 0 ? 'endless' : 'none';
  if (Math.abs(value) >= 1000) return String(Math.round(value));
  return String(Number(value.toPrecision(3)));
}

/** A share between 0 and 1 as whole percent. */
export const formatShare = (share: number): string => `${Math.round(100 * share)} %`;

/** Rows as lines with columns of even width, the first left-aligned and the others right-aligned. */
export function formatTable(rows: readonly (readonly string[])[]): string {
  const widths: number[] = [];
  for (const row of rows)
    row.forEach((cell, i) => {
      widths[i] = Math.max(widths[i] ?? 0, cell.length);
    });
  return rows
    .map((row) =>
      row
        .map((cell, i) => (i === 0 ? cell.padEnd(widths[i]!) : cell.padStart(widths[i]!)))
        .join('  ')
        .trimEnd(),
    )
    .map((line) => `${line}\n`)
    .join('');
}

/** Label and value pairs as two left-aligned columns. */
export function formatFacts(facts: readonly (readonly [string, string])[]): string {
  const width = Math.max(...facts.map(([label]) => label.length));
  return facts.map(([label, value]) => `${label.padEnd(width)}  ${value}\n`).join('');
}

/** "1 shell", "3 shells". */
export const countOf = (count: number, word: string): string => `${count} ${word}${count === 1 ? '' : 's'}`;

/** JSON with typed arrays as plain arrays and numbers that JSON lacks as null; a final line break. */
export function formatJson(value: unknown): string {
  const text = JSON.stringify(
    value,
    (_key, item: unknown) => (ArrayBuffer.isView(item) ? Array.from(item as Float64Array) : item),
    1,
  );
  // Arrays of numbers on one line keep the file readable and short; no string holds a bare line break.
  return `${text.replace(/\[\n[-\d.,eE+\s]*\]/g, (list) => list.replace(/\s+/g, ''))}\n`;
}
