// Prints the counts of a test run from its JSON report, as one plain line.
import { readFileSync } from 'node:fs';

let counts;
try {
  counts = JSON.parse(readFileSync(process.argv[2], 'utf8'));
} catch {
  counts = { numPassedTests: 0, numFailedTests: 0, numFailedTestSuites: 1 };
}
// A file that cannot even be loaded has no tests to count, yet it failed.
const failed = Math.max(counts.numFailedTests, counts.success === false || !counts.numPassedTests ? 1 : 0);
const skipped = (counts.numPendingTests ?? 0) + (counts.numTodoTests ?? 0);
console.log(`${counts.numPassedTests} passed, ${failed} failed${skipped > 0 ? `, ${skipped} skipped` : ""}`);
