/**
 * Rand index error of two segmentations: the share of pairs of faces that one puts together and the other apart
 * (Rand 1971; for meshes Chen, Golovinskiy & Funkhouser 2009; both from memory). Every face counts as one,
 * pairs are drawn without order and without a face paired with itself.
 */
export function randIndexError(a: readonly string[], b: readonly string[]): number {
  const pairs = (labels: readonly string[]): number => {
    const counts = new Map<string, number>();
    for (const label of labels) counts.set(label, (counts.get(label) ?? 0) + 1);
    let sum = 0;
    for (const count of counts.values()) sum += (count * (count - 1)) / 2;
    return sum;
  };
  const both = pairs(a.map((label, i) => `${label}|${b[i]}`));
  return (pairs(a) + pairs(b) - 2 * both) / ((a.length * (a.length - 1)) / 2);
}
