// Scores of mutation tests: node .ci/mutation-scores.mjs FOLDER   with FOLDER/MODULE/FILE.json by Stryker
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

const [folder] = process.argv.slice(2);
const NOTICED = ['Killed', 'Timeout'];
const MISSED = ['Survived', 'NoCoverage'];

const score = (mutants) => {
  const count = (statuses) => mutants.filter(({ status }) => statuses.includes(status)).length;
  const noticed = count(NOTICED);
  const all = noticed + count(MISSED);
  return `${((100 * noticed) / all).toFixed(1).padStart(6)} %  ${noticed} of ${all}`;
};

const everything = [];
for (const module of readdirSync(folder).sort()) {
  const own = [];
  for (const file of readdirSync(join(folder, module)).sort()) {
    const { files } = JSON.parse(readFileSync(join(folder, module, file), 'utf8'));
    const mutants = Object.values(files).flatMap((each) => each.mutants);
    if (mutants.length > 0) console.log(`  ${file.replace('.json', '').padEnd(26)}${score(mutants)}`);
    own.push(...mutants);
  }
  console.log(`${module.padEnd(28)}${score(own)}`);
  everything.push(...own);
}
console.log(`${'all'.padEnd(28)}${score(everything)}`);
