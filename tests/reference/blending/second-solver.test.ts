/** Best values against CBC, an independent branch and cut (Debian package coinor-cbc), on the same models as MPS text. */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { planBlend, verifyPlan, wholeModelText, type BlendProblem } from '@rundlet/blending';
import { instance, type BlendFamily } from '../../bench/blending-instances.ts';
import { clock, solver } from './support.ts';

const hasCbc = spawnSync('cbc', ['-quit']).status === 0;
if (!hasCbc)
  console.warn(
    'cbc is not installed (apt-get install coinor-cbc): the planner is NOT compared with a second solver.',
  );

function bestByCbc(problem: BlendProblem): number {
  const folder = mkdtempSync(join(tmpdir(), 'rundlet-cbc-'));
  try {
    const [model, answer] = [join(folder, 'model.mps'), join(folder, 'answer.txt')];
    writeFileSync(model, wholeModelText(problem));
    spawnSync('cbc', [model, '-ratio', '0', '-seconds', '60', '-solve', '-solution', answer]);
    const first = readFileSync(answer, 'utf8').split('\n')[0]!;
    const value = /^Optimal - objective value (\S+)/.exec(first)?.[1];
    if (value === undefined) throw new Error(`cbc did not prove an optimum: ${first}`);
    return Number(value);
  } finally {
    rmSync(folder, { recursive: true });
  }
}

/** Draws of at least 40 L, leaving at least 30 L, beside casks emptied. */
const IN_PART = {
  id: 'take',
  kind: 'take',
  mode: 'either',
  leastPartLitresAt20C: 40,
  leastHeelLitresAt20C: 30,
} as const;

test.skipIf(!hasCbc).each<[BlendFamily, number, number, 'whole' | 'in part']>([
  ['water', 100, 1, 'whole'],
  ['rows', 100, 3, 'whole'],
  ['natural', 100, 1, 'in part'],
  ['rows', 100, 1, 'in part'],
  ['water', 300, 2, 'in part'],
])('%s, %i casks, seed %i, %s: the best value is CBC’s', (family, count, seed, how) => {
  const whole = instance(family, count, seed);
  const problem = how === 'whole' ? whole : { ...whole, wishes: [...whole.wishes, { ...IN_PART }] };
  const result = planBlend(problem, { solver, clock, timeLimitSeconds: 60, explain: false });
  expect(result.status).toBe('proven-best');
  if (result.status !== 'proven-best') return;
  expect(verifyPlan(problem, result.plan)).toMatchObject({ ok: true, faults: [] });
  const best = bestByCbc(problem);
  expect(Math.abs(result.levels[0]!.value - best) / best).toBeLessThan(2e-6);
});
