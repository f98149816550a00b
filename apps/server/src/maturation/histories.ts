/** What the records say of fillings, in the words of the maturation library. Runs in worker threads. */
import type { Cask, CaskResult, Filling, FillingEvent, Gauge } from '@rundlet/contracts';
import { capacityLitres } from '@rundlet/gauging';
import type {
  CaskKind,
  FillingEvent as HistoryEvent,
  FillingHistory,
  GaugeMethod,
  Regauge,
} from '@rundlet/maturation';
import sql, { raw, type Sql } from 'sql-template-tag';
import type { Rows } from '../database/rows.ts';

/** Zone of a cask that stands in no place on record. */
export const UNPLACED = 'unplaced';
/** A reading is never better than this, whatever its record says: a declared figure may carry no uncertainty at all. */
const LEAST_U_LITRES = 0.05;
const LEAST_U_PERCENT_VOL = 0.02;
const FILLINGS_AT_ONCE = 2000;

/** A filling with the cask it lies in, as the records have them. */
export interface FillingRecords {
  readonly filling: Filling;
  readonly cask: Cask;
  readonly gauges: readonly Gauge[];
  readonly events: readonly FillingEvent[];
}

/** Fillings that meet a condition on "f", the filling table, in the order of their ids, some at a time. */
export async function* readFillings(rows: Rows, where: Sql): AsyncGenerator<FillingRecords[]> {
  for (let after = ''; ;) {
    const fillings = await records<Filling>(
      rows,
      sql`SELECT "f"."record" FROM "filling" "f" WHERE (${where}) AND "f"."id" > ${after} ORDER BY "f"."id" LIMIT ${FILLINGS_AT_ONCE}`,
    );
    const last = fillings.at(-1)?.id;
    if (last === undefined) return;
    const these = sql`(${where}) AND "f"."id" > ${after} AND "f"."id" <= ${last}`;
    const of = (table: string, key: string): Sql =>
      sql`SELECT "t"."record" FROM ${raw(`"${table}"`)} "t" JOIN "filling" "f" ON ${raw(key)} WHERE ${these}`;
    const casks = new Map(
      (await records<Cask>(rows, of('cask', '"t"."id" = "f"."caskId"'))).map((c) => [c.id, c]),
    );
    const own = '"t"."fillingId" = "f"."id"';
    const gauges = byFilling(await records<Gauge>(rows, of('gauge', own)), (g) => g.takenAt);
    const events = byFilling(
      await records<FillingEvent>(rows, of('filling_event', own)),
      (e) => e.at,
    );
    yield fillings.flatMap((filling) => {
      const cask = casks.get(filling.caskId);
      if (!cask) return [];
      return [
        {
          filling,
          cask,
          gauges: gauges.get(filling.id) ?? [],
          events: events.get(filling.id) ?? [],
        },
      ];
    });
    if (fillings.length < FILLINGS_AT_ONCE) return;
    after = last;
  }
}

/** Laboratory and panel results of a filling, oldest first. */
export const resultsOf = (rows: Rows, fillingId: string): Promise<CaskResult[]> =>
  records<CaskResult>(
    rows,
    sql`SELECT "record" FROM "cask_result" WHERE "fillingId" = ${fillingId} ORDER BY "at", "id"`,
  );

export function historyOf({ filling, cask, gauges, events }: FillingRecords): FillingHistory {
  const filledOn = dayOf(filling.filledAt);
  const firstZone = events.find((e) => e.kind === 'filled')?.zoneId ?? filling.zoneId ?? UNPLACED;
  const lots = Object.entries(filling.lotShares).sort((a, b) => b[1] - a[1]);
  const moved = { zoneId: firstZone };
  return {
    id: filling.id,
    zoneId: firstZone,
    ...(lots[0] ? { parcelId: `${lots[0][0]}/${filledOn}` } : {}),
    caskKind: caskKindOf(filling, cask),
    filledOn,
    fill: {
      bulkLitresAt20C: filling.fillFigures.bulkLitresAt20C,
      strengthPercentVol: filling.fillFigures.strengthPercentVol,
      uLitres: Math.max(LEAST_U_LITRES, filling.fillUncertainties.litres),
      uStrength: Math.max(LEAST_U_PERCENT_VOL, filling.fillUncertainties.percentVol),
    },
    // A reading of the day of filling says what the filling record says.
    regauges: gauges.filter((g) => dayOf(g.takenAt) > filledOn).map(regaugeOf),
    events: [
      ...events.flatMap((event) => eventOf(event, filling, gauges, moved)),
      ...keepersFindings(gauges, events),
    ].sort((a, b) => (a.on < b.on ? -1 : a.on > b.on ? 1 : 0)),
  };
}

export function caskKindOf(filling: Filling, cask: Cask): CaskKind {
  const { cooperLot } = cask.cooperage;
  return {
    nominalLitres: filling.nominalLitres,
    capacityLitres: cask.capacityLitres ?? capacityLitres(cask.geometry),
    species: filling.woodSpecies,
    fillNumber: filling.fillNumber,
    previousContents: filling.previousContents,
    ...(cooperLot === null ? {} : { cooperLot }),
  };
}

export function regaugeOf(gauge: Gauge): Regauge {
  const { readings, figures, uncertainties, keeperVerdict } = gauge;
  return {
    on: dayOf(gauge.takenAt),
    bulkLitresAt20C: figures.bulkLitresAt20C,
    strengthPercentVol: figures.strengthPercentVol,
    uLitres: Math.max(LEAST_U_LITRES, uncertainties.litres),
    uStrength: Math.max(LEAST_U_PERCENT_VOL, uncertainties.percentVol),
    method: methodOf(readings.method),
    ...wordOf(keeperVerdict),
    ...('liquidTemperatureC' in readings
      ? { liquidTemperatureC: readings.liquidTemperatureC }
      : {}),
  };
}

/** What a keeper found who looked for a leak: by judging a gauge, or at an inspection. */
function keepersFindings(
  gauges: readonly Gauge[],
  events: readonly FillingEvent[],
): HistoryEvent[] {
  const judged = gauges.filter((g) => g.verdict === 'possible-leak' || g.keeperVerdict === 'leak');
  const leaking = judged.filter((g) => g.keeperVerdict === 'leak').map((g) => g.takenAt);
  const repairs = events.filter((e) => e.kind === 'repaired').map((e) => e.at);
  // judging the latest gauge leaves a finding of its own: of one leak it is said once
  const toldOf = (at: string): boolean =>
    leaking.some((from) => from <= at && !repairs.some((r) => r > from && r < at));
  return [
    ...leaking.map((at) => ({ on: dayOf(at), kind: 'leak-seen' as const })),
    ...events
      .filter((e) => e.kind === 'leak-found' && !toldOf(e.at))
      .map((e) => ({ on: dayOf(e.at), kind: 'leak-seen' as const })),
    ...judged
      .filter((g) => g.keeperVerdict === 'confirmed')
      .map((g) => ({ on: dayOf(g.takenAt), kind: 'found-sound' as const })),
  ];
}

/** A keeper who has seen a leak has confirmed the reading; who asks for another one has said nothing of this. */
function wordOf(verdict: Gauge['keeperVerdict']): Pick<Regauge, 'verdict'> {
  if (verdict === null || verdict === 'regauge') return {};
  return { verdict: verdict === 'dismissed' ? 'dismissed' : 'confirmed' };
}

const methodOf = (method: Gauge['readings']['method']): GaugeMethod =>
  method === 'declared' ? 'nominal' : method;

function eventOf(
  event: FillingEvent,
  filling: Filling,
  gauges: readonly Gauge[],
  now: { zoneId: string },
): HistoryEvent[] {
  const on = dayBeforeGauge(event.at, filling, gauges);
  const litres = event.bulkLitresAt20C ?? 0;
  switch (event.kind) {
    case 'sample':
    case 'part-drawn':
      return litres > 0
        ? [{ on, kind: 'withdrawal', bulkLitresAt20C: litres, reason: event.kind }]
        : [];
    case 'top-up':
      return litres > 0
        ? [
            {
              on,
              kind: 'top-up',
              bulkLitresAt20C: litres,
              strengthPercentVol:
                event.strengthPercentVol ?? filling.fillFigures.strengthPercentVol,
            },
          ]
        : [];
    case 'moved': {
      const toZoneId = event.zoneId ?? UNPLACED;
      if (toZoneId === now.zoneId) return [];
      now.zoneId = toZoneId;
      return [{ on: dayOf(event.at), kind: 'move', toZoneId }];
    }
    case 'repaired':
      return [{ on: dayOf(event.at), kind: 'repair' }];
    default:
      return [];
  }
}

/**
 * The library takes a day's reading to come before what was drawn that day. What was drawn earlier that day than the
 * reading is put on the day before.
 */
function dayBeforeGauge(at: string, filling: Filling, gauges: readonly Gauge[]): string {
  const on = dayOf(at);
  const gaugedAfter = gauges.some((g) => dayOf(g.takenAt) === on && g.takenAt > at);
  if (!gaugedAfter) return on;
  const before = new Date(Date.parse(on) - 86_400_000).toISOString().slice(0, 10);
  return before < dayOf(filling.filledAt) ? on : before;
}

export const dayOf = (instant: string): string => instant.slice(0, 10);

async function records<T>(rows: Rows, statement: Sql): Promise<T[]> {
  const found = await rows.all<{ record: string }>(statement);
  return found.map(({ record }) => JSON.parse(record) as T);
}

function byFilling<T extends { fillingId: string }>(
  found: readonly T[],
  at: (record: T) => string,
): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const record of found) {
    const group = groups.get(record.fillingId);
    if (group) group.push(record);
    else groups.set(record.fillingId, [record]);
  }
  for (const group of groups.values()) group.sort((a, b) => (at(a) < at(b) ? -1 : 1));
  return groups;
}
