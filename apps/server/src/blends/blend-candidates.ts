/** The casks a blend may be drawn from, forecast to its day. Runs in a worker thread. */
import type { BlendCosts, BlendRequest, PickStop, Position } from '@rundlet/contracts';
import { sdFromInterval, type CandidateCask } from '@rundlet/blending';
import { addYears, forecastFilling } from '@rundlet/maturation';
import sql, { empty, join, type Sql } from 'sql-template-tag';
import type { Rows } from '../database/rows.ts';
import type { Belief, Beliefs, Knowledge } from '../maturation/beliefs.ts';
import { chanceBelow } from '../maturation/quantile-chance.ts';
import type { AttributeBook } from './blend-attributes.ts';
import { costOf, harmOf } from './blend-costs.ts';
import { DUTY, holdWords } from './blend-wishes.ts';

const DAYS_PER_YEAR = 365.25;
const DAY_MS = 86_400_000;
/** A cask is at risk by the chance that it falls under the strength floor within so many years of the blend. */
const RISK_YEARS = 3;
export const RISK_FLOOR_PERCENT_VOL = 40;

/** Where a cask stands, in the words on the rack. */
export type PlaceWords = NonNullable<PickStop['place']>;

/** A candidate with what only the answer needs. */
export interface Candidate {
  readonly cask: CandidateCask;
  readonly fillingId: string;
  readonly caskId: string;
  readonly caskCode: string;
  readonly positionCode: string | null;
  readonly place: PlaceWords | null;
  readonly walkOrder: number | null;
  readonly line: string;
}

export interface CandidateOptions {
  readonly knowledge: Knowledge;
  readonly book: AttributeBook;
  readonly costs: BlendCosts;
  onProgress(read: number): void;
  shouldStop(): boolean;
}

export async function blendCandidates(
  rows: Rows,
  beliefs: Beliefs,
  request: BlendRequest,
  options: CandidateOptions,
): Promise<Candidate[]> {
  const candidates: Candidate[] = [];
  let read = 0;
  for await (const chunk of beliefs.of(rows, scopeOf(request), options.knowledge)) {
    const positions = await positionsOf(rows, chunk);
    for (const belief of chunk) {
      const candidate = candidateOf(belief, positions, request, options);
      if (candidate) candidates.push(candidate);
      read++;
    }
    options.onProgress(read);
    if (options.shouldStop()) break;
  }
  return candidates;
}

/** Which stock is spoken of at all; everything else is a wish, so that it can be named when it stands in the way. */
function scopeOf({ storeIds, accountIds }: BlendRequest): Sql {
  const stores = storeIds?.length ? sql` AND "f"."storeId" IN (${join(storeIds)})` : empty;
  const accounts = accountIds?.length ? sql` AND "f"."accountId" IN (${join(accountIds)})` : empty;
  return sql`"f"."status" = 'maturing'${stores}${accounts}`;
}

function candidateOf(
  belief: Belief,
  positions: ReadonlyMap<string, Position>,
  { blendOn, insteadOfPlanId }: BlendRequest,
  { knowledge, book, costs }: CandidateOptions,
): Candidate | null {
  const { filling, cask, posterior, history } = belief;
  const on = blendOn > posterior.asOf ? blendOn : posterior.asOf;
  const later = addYears(on, RISK_YEARS);
  const [then, after] = forecastFilling(
    posterior,
    history,
    knowledge.climates.byZone,
    [on, later],
    { population: knowledge.population },
  );
  if (!then || !after || !(then.bulk.q50 > 0.5)) return null;
  const position = positions.get(cask.positionId ?? '');
  const ageYears = ageOn(filling, blendOn);
  const bulkLitresAt20C = then.bulk.q50;
  const strengthPercentVol = then.strength.q50;
  const litresPureAlcohol = (bulkLitresAt20C * strengthPercentVol) / 100;
  const atRisk = chanceBelow(after.strength, RISK_FLOOR_PERCENT_VOL);
  const holds = [
    ...(filling.holdReason === null ? [] : [holdWords(filling.holdReason)]),
    ...(filling.reservedByPlanId === null || filling.reservedByPlanId === insteadOfPlanId
      ? []
      : ['reserved for another plan']),
  ];
  return {
    cask: {
      id: filling.id,
      bulkLitresAt20C,
      strengthPercentVol,
      uncertainty: {
        bulkLitresSd: sdFromInterval(then.bulk.q05, then.bulk.q95, 0.9),
        strengthPercentVolSd: sdFromInterval(then.strength.q05, then.strength.q95, 0.9),
        group: filling.zoneId ?? 'unplaced',
      },
      ageYears,
      attributes: {
        ...book.of(belief),
        ...book.scoresOf(filling.id),
        [DUTY]: filling.dutyStatus,
      },
      ...(position
        ? {
            location: {
              storeCode: book.storeCode(position.storeId),
              zoneCode: book.zoneCode(position.zoneId),
              row: position.row,
              bay: position.bay,
              level: position.level,
              slot: position.slot,
            },
          }
        : {}),
      costPerLitrePureAlcohol: costOf(costs, ageYears),
      valueLeftBehind: harmOf(litresPureAlcohol, ageYears, atRisk),
      atRisk,
      holds,
    },
    fillingId: filling.id,
    caskId: cask.id,
    caskCode: cask.code,
    positionCode: position?.code ?? null,
    place: position ? book.placeOf(position) : null,
    walkOrder: position?.walkOrder ?? null,
    line: lineOf(belief),
  };
}

export function ageOn(filling: { agedFrom: string; agedDaysBefore: number }, day: string): number {
  const days = (Date.parse(day) - Date.parse(filling.agedFrom.slice(0, 10))) / DAY_MS;
  return Math.max(0, days + filling.agedDaysBefore) / DAYS_PER_YEAR;
}

export const lineOf = ({ filling }: Pick<Belief, 'filling'>): string =>
  [
    filling.caskKind,
    filling.woodSpecies,
    filling.previousContents === 'none' ? 'new wood' : filling.previousContents,
    `fill ${String(filling.fillNumber)}`,
  ].join(', ');

async function positionsOf(rows: Rows, chunk: readonly Belief[]): Promise<Map<string, Position>> {
  const ids = [...new Set(chunk.flatMap(({ cask }) => cask.positionId ?? []))];
  if (ids.length === 0) return new Map();
  const found = await rows.all<{ record: string }>(
    sql`SELECT "record" FROM "position" WHERE "id" IN (${join(ids)})`,
  );
  return new Map(found.map(({ record }) => JSON.parse(record) as Position).map((p) => [p.id, p]));
}
