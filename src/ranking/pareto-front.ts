/** Whether one entry equals or beats another on every figure and beats it on one; smaller is better. */
export function dominates(a: readonly number[], b: readonly number[]): boolean {
  return a.every((x, k) => x <= b[k]!) && a.some((x, k) => x < b[k]!);
}

/** Indices of the entries that no other entry equals or beats on every figure while beating it on one; smaller is better. */
export function findParetoFront(entries: readonly (readonly number[])[]): number[] {
  const isSame = (a: readonly number[], b: readonly number[]) => a.every((x, k) => x === b[k]);
  const front: number[] = [];
  entries.forEach((entry, i) => {
    const isBeaten = entries.some((other, j) => dominates(other, entry) || (j < i && isSame(other, entry)));
    if (!isBeaten) front.push(i);
  });
  return front;
}
