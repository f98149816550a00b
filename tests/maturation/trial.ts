import { answerForecastBundle, type BundleAnswer } from '@rundlet/maturation';
import { baseline, type Baseline } from './baselines.ts';
import {
  scoreBlunders,
  scoreForecasts,
  scoreLeaks,
  type CaskForecast,
  type Detection,
  type Interval,
  type Quantity,
  type Tally,
} from './score.ts';
import type { SimulatedStore } from './simulator/estate.ts';

export type Tallies = Map<string, Record<Quantity, Tally>>;

/** Scores of many stores together, in several groupings. */
export interface Trial {
  byStore: Tallies;
  byHorizon: Tallies;
  byRegauges: Tallies;
  all: Tallies;
  baselines: Record<Baseline, Tallies>;
  leaks: Detection;
  blunders: Detection;
}

const BASELINES: readonly Baseline[] = ['flat', 'own-line', 'pooled'];

export const emptyTrial = (): Trial => ({
  byStore: new Map(),
  byHorizon: new Map(),
  byRegauges: new Map(),
  all: new Map(),
  baselines: { flat: new Map(), 'own-line': new Map(), pooled: new Map() },
  leaks: { truePositive: 0, falsePositive: 0, falseNegative: 0 },
  blunders: { truePositive: 0, falsePositive: 0, falseNegative: 0 },
});

/** Hands a store's bundle to the library and scores what comes back beside the baselines. */
export function tryStore(store: SimulatedStore, trial: Trial): void {
  // through JSON, as the command line gets it: nothing of the truth can slip along
  const answer = answerForecastBundle(
    JSON.parse(JSON.stringify(store.bundle)) as Parameters<typeof answerForecastBundle>[0],
  );
  const forecasts = forecastsOf(answer);
  scoreForecasts(store, forecasts, (s) => s.store.id, trial.byStore);
  scoreForecasts(store, forecasts, (_s, _i, years) => `${String(years)} years`, trial.byHorizon);
  scoreForecasts(
    store,
    forecasts,
    (s, i) => `${String(s.truth[i]!.regaugeCount)} regauges`,
    trial.byRegauges,
  );
  scoreForecasts(store, forecasts, () => 'all', trial.all);
  for (const kind of BASELINES) {
    scoreForecasts(
      store,
      baseline(store, kind),
      (_s, _i, years) => `${String(years)} years`,
      trial.baselines[kind],
    );
  }
  scoreLeaks(store, new Map(answer.leaks.map((l) => [l.cask_id, l.leak_prob])), trial.leaks);
  const suspects = new Map(answer.suspects.map((s) => [`${s.cask_id} ${s.date}`, s.suspect_prob]));
  scoreBlunders(store, suspects, trial.blunders);
}

export function forecastsOf(answer: BundleAnswer): CaskForecast[] {
  return answer.forecasts.map((row) => {
    const interval = (name: string): Interval => ({
      point: Number(row[`${name}_point`]),
      lo80: Number(row[`${name}_lo80`]),
      hi80: Number(row[`${name}_hi80`]),
      lo90: Number(row[`${name}_lo90`]),
      hi90: Number(row[`${name}_hi90`]),
    });
    return {
      caskId: String(row['cask_id']),
      years: Number(row['horizon_y']),
      bulk: interval('bulk_l'),
      strength: interval('abv_pct'),
      lpa: interval('lpa_l'),
    };
  });
}

export const coverage90 = (t: Tally): number => t.in90 / t.n;
export const meanAbsolute = (t: Tally): number => t.absolute / t.n;
export const meanScore = (t: Tally): number => t.wis / t.n;
