/** One plan of the planner's as a blender reads it: casks, vat, chances, cost, what is left. */
import { waterDensity20C } from '@rundlet/alcoholometry';
import {
  forecastVat,
  type AimOutcome,
  type BlendPlan,
  type BlendProblem,
  type VatForecast,
} from '@rundlet/blending';
import type { BlendChoice, BlendRequest } from '@rundlet/contracts';
import type { Candidate, PlaceWords } from './blend-candidates.ts';
import { AIM_UNITS } from './blend-problem.ts';

/** Errors of casks in one zone share the weather and the calibration; common judgement, no published source. */
const WITHIN_ZONE = 0.3;
const BETWEEN_ZONES = 0.1;

export interface ChoiceContext {
  readonly request: BlendRequest;
  readonly problem: BlendProblem;
  readonly candidates: readonly Candidate[];
}

export function blendChoice(
  plan: BlendPlan,
  context: ChoiceContext,
  compared: { readonly lossToBest: number; readonly casksChanged: number },
): BlendChoice {
  const { request, problem } = context;
  const byId = new Map(context.candidates.map((c) => [c.fillingId, c]));
  const parts = partsOf(plan, problem, byId);
  const forecast = forecastVat(problem, plan, {
    coverage: 0.9,
    withinGroupCorrelation: WITHIN_ZONE,
    betweenGroupsCorrelation: BETWEEN_ZONES,
  });
  return {
    parts,
    waterLitresAt20C: plan.water.litresAt20C,
    result: vatOf(plan),
    interval: intervalOf(forecast, request),
    ages: {
      youngestYears: plan.ages.youngestYears,
      oldestYears: plan.ages.oldestYears,
      meanYears: plan.ages.meanYearsByLpa,
    },
    cost: plan.cost,
    rows: rowsOf(parts, byId),
    aims: plan.aims.map((outcome, i) => aimOf(outcome, request, i)),
    shares: sharesOf(plan),
    left: leftOf(plan, context.candidates),
    ...compared,
  };
}

/** The planner answers the aims in the order they were given. */
function aimOf(
  outcome: AimOutcome,
  { aims }: BlendRequest,
  i: number,
): BlendChoice['aims'][number] {
  const kind = aims[i]?.kind ?? 'least-harm';
  return { kind, priority: outcome.priority, value: outcome.figure, unit: AIM_UNITS[kind] };
}

/** In the order of a walk through the stores. */
function partsOf(
  plan: BlendPlan,
  problem: BlendProblem,
  byId: ReadonlyMap<string, Candidate>,
): BlendChoice['parts'] {
  const alcohol = plan.draws.reduce((sum, d) => sum + d.litresPureAlcohol, 0);
  const locked = new Set(problem.locks?.map(({ caskId }) => caskId));
  return plan.draws
    .flatMap((draw): BlendChoice['parts'] => {
      const candidate = byId.get(draw.caskId);
      if (!candidate) return [];
      const { fillingId, caskId, caskCode, positionCode, place, walkOrder, line, cask } = candidate;
      return [
        {
          fillingId,
          caskId,
          caskCode,
          positionCode,
          place: place && placeLine(place),
          walkOrder,
          ageYears: cask.ageYears,
          takeLitresAt20C: draw.bulkLitresAt20C,
          heelLitresAt20C: draw.heelLitresAt20C,
          strengthPercentVol: cask.strengthPercentVol,
          litresPureAlcohol: draw.litresPureAlcohol,
          shareOfAlcohol: draw.litresPureAlcohol / alcohol,
          whole: draw.whole,
          locked: locked.has(draw.caskId),
          line,
        },
      ];
    })
    .sort(byWalk);
}

const rowLine = ({ store, zone, row }: PlaceWords): string => `${store}, ${zone}, row ${row}`;
const placeLine = ({ store, row, bay, level, slot }: PlaceWords): string =>
  `${store}, row ${row} · bay ${bay} · level ${level} · slot ${slot}`;

export function byWalk(
  a: { walkOrder: number | null; caskCode: string },
  b: { walkOrder: number | null; caskCode: string },
): number {
  const order = (a.walkOrder ?? Infinity) - (b.walkOrder ?? Infinity);
  if (order !== 0 && !Number.isNaN(order)) return order;
  return a.caskCode < b.caskCode ? -1 : 1;
}

function rowsOf(
  parts: BlendChoice['parts'],
  byId: ReadonlyMap<string, Candidate>,
): BlendChoice['rows'] {
  const casks = new Map<string, number>();
  for (const { fillingId } of parts) {
    const place = byId.get(fillingId)?.place;
    const row = place ? rowLine(place) : 'without a position';
    casks.set(row, (casks.get(row) ?? 0) + 1);
  }
  return [...casks].map(([row, count]) => ({ row, casks: count }));
}

function vatOf({ vat, draws, water }: BlendPlan): BlendChoice['result'] {
  const drawn = draws.reduce((sum, d) => sum + d.bulkLitresAt20C, 0);
  return {
    bulkLitresAt20C: vat.bulkLitresAt20C,
    strengthPercentVol: vat.strengthPercentVol,
    litresPureAlcohol: vat.litresPureAlcohol,
    contractionLitres: drawn + (1000 * water.kg) / waterDensity20C - vat.bulkLitresAt20C,
  };
}

function intervalOf(forecast: VatForecast, request: BlendRequest): BlendChoice['interval'] {
  const { bulkLitresAt20C, strengthPercentVol, waterForTargetLitresAt20C: water } = forecast;
  const most = request.water === 'none' ? 0 : (request.mostWaterLitres ?? Infinity);
  const within = (litres: number) =>
    Math.max(
      request.water === 'none' ? 0 : (request.leastWaterLitres ?? 0),
      Math.min(most, litres),
    );
  return {
    bulkLow90: bulkLitresAt20C.low,
    bulkHigh90: bulkLitresAt20C.high,
    strengthLow90: strengthPercentVol.low,
    strengthHigh90: strengthPercentVol.high,
    chanceAsPlanned: Math.min(1, forecast.chanceAsPlanned),
    chanceWithTrim: Math.min(1, forecast.chanceWithTrim),
    waterLow90: within(water.low),
    waterHigh90: within(water.high),
  };
}

/** Of alcohol, by every attribute; what the map calls location is told by zone and store already. */
function sharesOf({ shares }: BlendPlan): BlendChoice['shares'] {
  return Object.entries(shares).flatMap(([attribute, values]) =>
    attribute.startsWith('location.')
      ? []
      : values.map(({ value, shareOfLpa, shareOfBulk }) => ({
          attribute,
          value,
          share: shareOfLpa,
          shareOfBulk,
        })),
  );
}

/** Above this, a cask is more likely than not to fall under the strength floor. */
const MORE_LIKELY_THAN_NOT = 0.5;

function leftOf(plan: BlendPlan, candidates: readonly Candidate[]): BlendChoice['left'] {
  const drawn = new Map(plan.draws.map((draw) => [draw.caskId, draw]));
  let casks = 0;
  let litresPureAlcohol = 0;
  let weightedYears = 0;
  let atRiskCasks = 0;
  for (const { fillingId, cask } of candidates) {
    const share = 1 - (drawn.get(fillingId)?.fraction ?? 0);
    if (share <= 1e-9) continue;
    const lpa = (share * cask.bulkLitresAt20C * cask.strengthPercentVol) / 100;
    casks += 1;
    litresPureAlcohol += lpa;
    weightedYears += lpa * cask.ageYears;
    if ((cask.atRisk ?? 0) > MORE_LIKELY_THAN_NOT) atRiskCasks += 1;
  }
  const heels = plan.draws.filter((draw) => !draw.whole);
  return {
    casks,
    litresPureAlcohol,
    meanYears: litresPureAlcohol > 0 ? weightedYears / litresPureAlcohol : null,
    heelCasks: heels.length,
    heelLitres: heels.reduce((sum, { heelLitresAt20C }) => sum + heelLitresAt20C, 0),
    atRiskCasks,
  };
}
