/**
 * How good the forecasts are: whole simulated stores of six climates, scored beside the simple rules and, with
 * `--oracle`, beside a forecaster that knows the simulator. Prints coverage, error and detection tables.
 * Arguments: seeds separated by commas (default 1), casks a store (default 400), --oracle (slow).
 */
import { oracleForecast } from '../maturation/oracle.ts';
import { precision, QUANTITIES, recall, scoreForecasts } from '../maturation/score.ts';
import { simulateStore } from '../maturation/simulator/estate.ts';
import { STORES } from '../maturation/simulator/stores.ts';
import {
  coverage90,
  emptyTrial,
  meanAbsolute,
  meanScore,
  tryStore,
  type Tallies,
} from '../maturation/trial.ts';

const [seeds = '1', casks = '400'] = process.argv.slice(2).filter((a) => !a.startsWith('--'));
const withOracle = process.argv.includes('--oracle');
const trial = emptyTrial();
const ceiling: Tallies = new Map();

for (const seed of seeds.split(',').map(Number)) {
  for (let i = 0; i < STORES.length; i++) {
    const store = simulateStore(i, seed, Number(casks));
    tryStore(store, trial);
    if (withOracle) {
      scoreForecasts(store, oracleForecast(store), (_s, _i, y) => `${String(y)} years`, ceiling);
    }
  }
}

const percent = (x: number): string => `${(100 * x).toFixed(1).padStart(5)} %`;

function table(title: string, tallies: Tallies): void {
  console.log(`\n${title}: 90 % coverage, mean absolute error, weighted interval score`);
  for (const key of [...tallies.keys()].sort((a, b) =>
    a.localeCompare(b, 'en', { numeric: true }),
  )) {
    const t = tallies.get(key)!;
    const cells = QUANTITIES.map(
      (q) =>
        `${q} ${percent(coverage90(t[q]))} ${meanAbsolute(t[q]).toFixed(2)} ${meanScore(t[q]).toFixed(3)}`,
    );
    console.log(`${key.padEnd(12)} n ${String(t.bulk.n).padStart(6)}  ${cells.join('   ')}`);
  }
}

table('By horizon', trial.byHorizon);
table('By number of regauges', trial.byRegauges);
table('By store', trial.byStore);
table('Simple rule: pooled rate', trial.baselines.pooled);
if (withOracle) {
  table('Ceiling: knows the simulator', ceiling);
  for (const q of QUANTITIES) {
    const sum = (t: Tallies): number => [...t.values()].reduce((s, x) => s + meanScore(x[q]), 0);
    const [us, rule, best] = [trial.byHorizon, trial.baselines.pooled, ceiling].map(sum);
    console.log(`${q}: ${percent((rule! - us!) / (rule! - best!))} of the distance closed`);
  }
}
console.log(
  `\nleaks     precision ${percent(precision(trial.leaks))} recall ${percent(recall(trial.leaks))}`,
);
console.log(
  `blunders  precision ${percent(precision(trial.blunders))} recall ${percent(recall(trial.blunders))}`,
);
