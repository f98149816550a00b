/** A reading that has just arrived against what was expected of its cask. Runs in a worker thread. */
import type { ExpectedFigures, Gauge, LiquidFigures, Surety } from '@rundlet/contracts';
import { assessRegauge, type FillingHistory } from '@rundlet/maturation';
import { believe, type Belief, type Knowledge } from './beliefs.ts';
import { PRIORS_ID, type StoredPosterior } from './calibration-rows.ts';

export interface GaugeToAssess {
  readonly fillingId: string;
  readonly takenAt: string;
  readonly figures: LiquidFigures;
  readonly uncertainties: { readonly litres: number; readonly percentVol: number };
}
export interface Assessed {
  readonly expected: ExpectedFigures;
  readonly verdict: Gauge['verdict'];
  /** With a suspicion: how sure, and since when. */
  readonly surety?: Surety;
}

/** Null where nothing can be said: before anything was learnt, or on the day of filling itself. */
export function assessGauge(
  belief: Belief,
  knowledge: Knowledge,
  { takenAt, figures, uncertainties }: GaugeToAssess,
): Assessed | null {
  const on = takenAt.slice(0, 10);
  if (knowledge.calibrationId === PRIORS_ID || on <= belief.history.filledOn) return null;
  const { history, posterior } = asItStood(belief, knowledge, on);
  const { expected, verdict, probability, since } = assessRegauge(
    posterior,
    history,
    knowledge.climates.byZone,
    {
      on,
      bulkLitresAt20C: figures.bulkLitresAt20C,
      strengthPercentVol: figures.strengthPercentVol,
      uLitres: Math.max(0.05, uncertainties.litres),
      uStrength: Math.max(0.02, uncertainties.percentVol),
      method: 'dip',
    },
    { population: knowledge.population },
  );
  const at = (q: 'q05' | 'q50' | 'q95'): LiquidFigures => ({
    bulkLitresAt20C: expected.bulk[q],
    strengthPercentVol: expected.strength[q],
    litresPureAlcohol: expected.lpa[q],
  });
  return {
    expected: {
      ...at('q50'),
      low90: at('q05'),
      high90: at('q95'),
      calibrationId: knowledge.calibrationId,
    },
    verdict,
    ...(verdict === 'as-expected' ? {} : { surety: { probability, since: since ?? null } }),
  };
}

/** What was believed before that day: a reading that comes late is held against what was known when it was taken. */
function asItStood(
  { history, posterior }: Belief,
  knowledge: Knowledge,
  on: string,
): Pick<Belief, 'history' | 'posterior'> {
  if (on >= posterior.asOf) return { history, posterior };
  const earlier: FillingHistory = {
    ...history,
    regauges: history.regauges.filter((r) => r.on < on),
    events: history.events.filter((e) => e.on < on),
  };
  const stored: StoredPosterior = {
    calibrationId: knowledge.calibrationId,
    seq: knowledge.seq,
    posterior,
  };
  return { history: earlier, posterior: believe(knowledge, earlier, stored) };
}
