/** Which casks to open next so that the doubt about the stock falls most. Runs in a worker thread. */
import type { AnswerOf, api } from '@rundlet/contracts';
import {
  forecastFilling,
  regaugeRanking,
  type FillingWithPosterior,
  type RegaugeAdvice,
} from '@rundlet/maturation';
import sql, { join } from 'sql-template-tag';
import type { Rows } from '../database/rows.ts';
import type { Belief, Beliefs, Knowledge } from './beliefs.ts';
import { maturingWhere } from './stock-forecast.ts';

type Suggestions = AnswerOf<typeof api.maturation.regauge>['rows'];

export interface RoundWish {
  readonly today: string;
  readonly storeId: string | undefined;
  /** Only what is planned for a blend, known for its day. */
  readonly blend: { readonly blendOn: string; readonly fillingIds: readonly string[] } | null;
  readonly count: number;
}

const REASONS: Readonly<Record<RegaugeAdvice['reason'], string>> = {
  'suspected-leak': 'It may be leaking.',
  'doubtful-reading': 'Its last reading is doubtful.',
  'never-regauged': 'It has never been regauged.',
  'long-ago': 'It was last gauged long ago.',
  'large-loss': 'It loses more than most, so its doubt is large.',
};
/** Standard uncertainties of a careful dip and hydrometer; common practice, no published source. */
const USUAL_GAUGE = { uLitres: 1, uStrength: 0.1, dip: true };
const Z95 = 1.6448536;

export async function regaugeRound(
  rows: Rows,
  beliefs: Beliefs,
  knowledge: Knowledge,
  { today, storeId, blend, count }: RoundWish,
): Promise<Suggestions> {
  const members: FillingWithPosterior[] = [];
  const told = new Map<string, Pick<Belief, 'filling' | 'cask' | 'gauges'>>();
  const stock = maturingWhere(storeId === undefined ? {} : { storeId });
  const scope =
    blend === null ? stock : sql`${stock} AND "f"."id" IN (${join([...blend.fillingIds])})`;
  for await (const chunk of beliefs.of(rows, scope, knowledge))
    for (const { history, posterior, filling, cask, gauges } of chunk) {
      members.push({ filling: history, posterior });
      told.set(filling.id, { filling, cask, gauges });
    }
  if (members.length === 0) return [];
  const { population, climates } = knowledge;
  const at = members.reduce(
    (day, { posterior }) => (posterior.asOf > day ? posterior.asOf : day),
    today,
  );
  const options = { population };
  const until = blend !== null && blend.blendOn > at ? blend.blendOn : at;
  const request = { on: at, at: until, count: members.length, ...USUAL_GAUGE };
  const asked = (id: string): boolean => told.get(id)?.gauges.at(-1)?.keeperVerdict === 'regauge';
  // What a keeper asked for comes first, whatever it is worth.
  const advice = regaugeRanking(members, climates.byZone, request, options)
    .sort((a, b) => Number(asked(b.fillingId)) - Number(asked(a.fillingId)))
    .slice(0, count);
  const byId = new Map(members.map((member) => [member.filling.id, member]));
  const positions = await positionsOf(
    rows,
    advice.flatMap(({ fillingId }) => told.get(fillingId)?.cask.positionId ?? []),
  );
  return advice.flatMap(({ fillingId, gain, reason }) => {
    const [member, records] = [byId.get(fillingId), told.get(fillingId)];
    if (!member || !records) return [];
    const { cask, filling } = records;
    const [now] = forecastFilling(member.posterior, member.filling, climates.byZone, [at], options);
    const position = positions.get(cask.positionId ?? '');
    return [
      {
        caskId: cask.id,
        caskCode: cask.code,
        positionCode: position?.code ?? null,
        walkOrder: position?.walkOrder ?? null,
        lastGaugedAt: filling.lastGaugedAt,
        doubtLitresPureAlcohol: now ? (now.lpa.q95 - now.lpa.q05) / (2 * Z95) : 0,
        doubtRemovedLitresPureAlcohol: gain,
        reason: asked(fillingId) ? 'A keeper asked for another reading.' : REASONS[reason],
      },
    ];
  });
}

async function positionsOf(
  rows: Rows,
  ids: readonly string[],
): Promise<Map<string, { code: string; walkOrder: number }>> {
  if (ids.length === 0) return new Map();
  const found = await rows.all<{ id: string; code: string; walkOrder: number }>(
    sql`SELECT "id", "code", "walkOrder" FROM "position" WHERE "id" IN (${join([...new Set(ids)])})`,
  );
  return new Map(found.map((p) => [p.id, p]));
}
