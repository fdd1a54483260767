import { execFile } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { buildProgram } from './build-program.js';
import { wrongFields } from './wrong-fields.js';

const folder = mkdtempSync(join(tmpdir(), 'seamwright-bridge-'));
let main: string;

beforeAll(async () => {
  main = await buildProgram(folder);
  writeFileSync(join(folder, 'wrong-fields.json'), JSON.stringify(wrongFields()));
}, 60_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Runs one check of client_checks.py; what it says of a failure becomes the failure of the test. */
async function check(name: string): Promise<string> {
  const script = join(import.meta.dirname, 'client_checks.py');
  const options = {
    timeout: 110_000,
    env: { ...process.env, NODE: process.execPath, PYTHONDONTWRITEBYTECODE: '1' },
  };
  const { stdout, stderr } = await promisify(execFile)('python3', [script, main, folder, name], options);
  expect(stderr).toBe('');
  return stdout;
}

describe('the Python client and the bridge process', () => {
  it.each([
    ['go from arrays to seams, UVs and files', 'whole_trip'],
    ['weigh, lock and carry over a sheet', 'finished_sheet'],
    ['call back on the thread that polls', 'poll_on_main_thread'],
    ['keep 1,000 mixed requests from 8 threads apart', 'thousand_requests'],
    ['cancel what runs, what waits and what does not listen', 'cancelling'],
    ['name the field of every wrong type', 'wrong_fields'],
    ['end clean when the input is closed or the process killed in the middle', 'closing_input'],
    ['use paths under the allowed folder only', 'paths'],
    ['keep limits', 'limits'],
  ])('%s', async (_title, name) => {
    await check(name);
  });
});
