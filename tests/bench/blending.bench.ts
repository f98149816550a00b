/**
 * The blending planner on seeded synthetic stocks: time to the first plan, gap at the limit, gap of whole-model HiGHS in the same
 * time, and peak memory, each cell in a process of its own. `RUNDLET_BLEND_SIZES=100,1000` limits it, `RUNDLET_BLEND_SEEDS=3,4` sets
 * other seeds, and `RUNDLET_BLEND_LONGER=300` plans each once more for so many seconds, to tell how far the plan was from the best
 * known; seconds of wall-clock.
 */
import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { highsSolver, planBlend, verifyPlan } from '@rundlet/blending';
import loadHighs from 'highs';
import { instance, type BlendFamily } from './blending-instances.ts';

const LIMITS: readonly (readonly [casks: number, seconds: number])[] = [
  [100, 5],
  [200, 5],
  [1_000, 30],
  [10_000, 30],
  [100_000, 5],
];
const SEEDS = process.env['RUNDLET_BLEND_SEEDS']?.split(',').map(Number) ?? [1, 2];
const FAMILIES: readonly BlendFamily[] = ['water', 'natural', 'rows'];

interface Cell {
  readonly status: string;
  readonly first: number | null;
  readonly seconds: number;
  readonly gap: number | null;
  readonly value: number | null;
  readonly holds: boolean;
  readonly megabytes: number;
}

async function measure(args: readonly string[]): Promise<Cell> {
  const [casks, family, seed, seconds, method] = args;
  const clock = (): number => performance.now() / 1000;
  // The package is CommonJS: its types say the default export is one level down, Node hands it over directly.
  const solver = highsSolver(await (loadHighs as unknown as typeof loadHighs.default)());
  const problem = instance(family as BlendFamily, Number(casks), Number(seed));
  const began = clock();
  let first: number | null = null;
  const result = planBlend(problem, {
    solver,
    clock,
    timeLimitSeconds: Number(seconds),
    method: method === 'solver' ? 'solver' : 'auto',
    onProgress: ({ value }) => {
      if (value !== null) first ??= clock() - began;
    },
  });
  return {
    status: result.status,
    first,
    seconds: clock() - began,
    gap: 'relativeGap' in result ? result.relativeGap : null,
    value: 'levels' in result ? (result.levels[0]?.value ?? null) : null,
    holds: 'plan' in result && verifyPlan(problem, result.plan).ok,
    megabytes: process.resourceUsage().maxRSS / 1024,
  };
}

function inFreshProcess(args: readonly (string | number)[]): Cell | null {
  const run = spawnSync(
    process.execPath,
    [fileURLToPath(import.meta.url), '--cell', ...args.map(String)],
    { encoding: 'utf8' },
  );
  return run.status === 0 ? (JSON.parse(run.stdout) as Cell) : null;
}

function shown(cell: Cell | null): string {
  if (!cell) return 'failed';
  if (cell.gap === null) return cell.status;
  return cell.gap === 0
    ? `proven ${cell.seconds.toFixed(1)} s`
    : `${(100 * cell.gap).toFixed(3)} %`;
}

/** By how much a plan costs more than the better of the two, and whether that one is proven best. */
function besideLonger(own: Cell | null, longer: Cell | null): string {
  if (own?.value == null || longer?.value == null) return ' · –';
  const best = Math.min(own.value, longer.value);
  const known = longer.gap === 0 ? 'the best' : `the best known, itself within ${shown(longer)}`;
  return ` · plan ${((100 * (own.value - best)) / best).toFixed(3)} % above ${known}`;
}

if (process.argv[2] === '--cell') {
  console.log(JSON.stringify(await measure(process.argv.slice(3))));
} else {
  const longerSeconds = process.env['RUNDLET_BLEND_LONGER'];
  const sizes = process.env['RUNDLET_BLEND_SIZES']?.split(',').map(Number);
  console.log('casks · family · seed · limit · first plan · gap · HiGHS whole model · memory');
  let broken = false;
  for (const [casks, seconds] of LIMITS.filter(([size]) => sizes?.includes(size) ?? true))
    for (const family of FAMILIES)
      for (const seed of SEEDS) {
        const own = inFreshProcess([casks, family, seed, seconds, 'auto']);
        const whole = inFreshProcess([casks, family, seed, seconds, 'solver']);
        const longer =
          longerSeconds === undefined
            ? ''
            : besideLonger(own, inFreshProcess([casks, family, seed, longerSeconds, 'auto']));
        if (!own?.holds) broken = true;
        console.log(
          `${casks} · ${family} · ${seed} · ${seconds} s · ${own?.first?.toFixed(1) ?? '–'} s · ${shown(own)} · ${shown(whole)} · ${own?.megabytes.toFixed(0) ?? '–'} MB${longer}`,
        );
      }
  process.exit(broken ? 1 : 0);
}
