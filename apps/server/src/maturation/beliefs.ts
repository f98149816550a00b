/** What is believed of fillings now: stored posteriors where nothing has happened since, others worked out. In worker threads. */
import type { JournalEntry } from '@rundlet/contracts';
import {
  calibrate,
  updateFilling,
  type FillingHistory,
  type FillingPosterior,
  type Population,
} from '@rundlet/maturation';
import sql, { type Sql } from 'sql-template-tag';
import type { Rows } from '../database/rows.ts';
import {
  latestCalibration,
  latestCalibrationId,
  storedPosteriors,
  type StoredCalibration,
  type StoredPosterior,
} from './calibration-rows.ts';
import { ClimateKeeper, type Climates } from './climates.ts';
import { historyOf, readFillings, type FillingRecords } from './histories.ts';

/** What forecasts rest on at the moment. */
export interface Knowledge {
  readonly calibrationId: string;
  /** Null before anything was learnt. */
  readonly calibratedAt: string | null;
  readonly population: Population;
  readonly climates: Climates;
  /** Last journal entry there was when it was looked up. */
  readonly seq: number;
  /** Last one that was learnt from; null before anything was learnt. */
  readonly calibratedSeq: number | null;
}
export interface Belief extends FillingRecords {
  readonly history: FillingHistory;
  readonly posterior: FillingPosterior;
}

/** What the readings in a history make of a filling. `stored` keeps the evidence it gave the calibration from counting twice. */
export function believe(
  { calibrationId, population, climates }: Knowledge,
  history: FillingHistory,
  stored: StoredPosterior | undefined,
): FillingPosterior {
  const previous = stored?.calibrationId === calibrationId ? stored.posterior : undefined;
  return updateFilling(population, history, climates.byZone, previous);
}

/** Posteriors worked out since the last calibration that are kept in memory. */
const MOST_KEPT = 5000;

export class Beliefs {
  readonly #climates = new ClimateKeeper();
  #calibration: StoredCalibration | null = null;
  #knowledge: Knowledge | null = null;
  readonly #kept = new Map<string, StoredPosterior>();
  /** Last entry that touched a cask or filling, for entries after `#from`, up to `#upTo`. */
  readonly #touched = new Map<string, number>();
  #from = -1;
  #upTo = -1;

  async knowledge(rows: Rows): Promise<Knowledge> {
    const { seq } = (await rows.one<{ seq: number }>(
      sql`SELECT COALESCE(MAX("seq"), 0) AS "seq" FROM "journal_entry"`,
    )) ?? { seq: 0 };
    const calibrationId = await latestCalibrationId(rows);
    const known = this.#knowledge;
    if (known?.seq === seq && known.calibrationId === calibrationId) return known;
    if (this.#calibration?.id !== calibrationId) this.#calibration = await latestCalibration(rows);
    const calibration = this.#calibration;
    const climates = await this.#climates.of(rows, calibration?.climates ?? null);
    this.#knowledge = {
      calibrationId,
      calibratedAt: calibration?.madeAt ?? null,
      population: calibration?.population ?? calibrate([], climates.byZone).population,
      climates,
      seq,
      calibratedSeq: calibration?.seq ?? null,
    };
    return this.#knowledge;
  }

  /** Fillings that meet a condition on "f", the filling table, with what is believed of each; some at a time. */
  async *of(rows: Rows, where: Sql, knowledge: Knowledge): AsyncGenerator<Belief[]> {
    const touched = await this.#touchedSince(rows, knowledge);
    for await (const chunk of readFillings(rows, where)) {
      const [first, last] = [chunk[0], chunk.at(-1)];
      if (!first || !last) continue;
      const stored = await storedPosteriors(
        rows,
        sql`SELECT "f"."id" FROM "filling" "f" WHERE (${where}) AND "f"."id" >= ${first.filling.id} AND "f"."id" <= ${last.filling.id}`,
      );
      yield chunk.map((records) => {
        const history = historyOf(records);
        const { id, caskId } = records.filling;
        const since = Math.max(
          touched.get(`filling:${id}`) ?? 0,
          touched.get(`cask:${caskId}`) ?? 0,
        );
        const { calibrationId } = knowledge;
        const [before, kept] = [stored.get(id), this.#kept.get(id)];
        const known = [before, kept].find(
          (p) => p?.calibrationId === calibrationId && p.seq >= since,
        );
        if (known) return { ...records, history, posterior: known.posterior };
        const posterior = believe(knowledge, history, before);
        this.#keep(id, { calibrationId, seq: knowledge.seq, posterior });
        return { ...records, history, posterior };
      });
    }
  }

  #keep(id: string, posterior: StoredPosterior): void {
    this.#kept.delete(id);
    this.#kept.set(id, posterior);
    const [oldest] = this.#kept.keys();
    if (this.#kept.size > MOST_KEPT && oldest !== undefined) this.#kept.delete(oldest);
  }

  async #touchedSince(
    rows: Rows,
    { seq, calibratedSeq }: Knowledge,
  ): Promise<ReadonlyMap<string, number>> {
    // Without a calibration nothing is stored, so only what happens from the first look on can make anything stale.
    const from = calibratedSeq ?? (this.#from >= 0 ? this.#from : seq);
    if (from !== this.#from) {
      this.#touched.clear();
      this.#from = from;
      this.#upTo = from;
    }
    if (seq > this.#upTo) {
      const entries = await rows.all<{ seq: number; subjects: string }>(
        sql`SELECT "seq", "subjects" FROM "journal_entry" WHERE "seq" > ${this.#upTo} AND "seq" <= ${seq} ORDER BY "seq"`,
      );
      for (const entry of entries)
        for (const subject of JSON.parse(entry.subjects) as JournalEntry['subjects'])
          if (subject.startsWith('filling:') || subject.startsWith('cask:'))
            this.#touched.set(subject, entry.seq);
      this.#upTo = seq;
    }
    return this.#touched;
  }
}
