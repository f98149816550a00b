import { Inject, Injectable } from '@nestjs/common';
import type {
  Account,
  BottlingRun,
  Cask,
  Filling,
  LabelTemplateInfo,
  Position,
  Sample,
  SpiritLot,
  Store,
  Zone,
} from '@rundlet/contracts';
import { checkCode, codeUrl } from '@rundlet/identifiers';
import type { Fields } from '@rundlet/labels';
import sql, { join } from 'sql-template-tag';
import { runAddress } from '../bottlings/run-address.ts';
import { urlOf } from '../casks/cask-card.ts';
import { Reader } from '../database/reader.ts';
import { Records } from '../database/records.ts';
import { OriginsOf } from '../lineage/origins.ts';
import { Clock } from '../platform/clock.ts';
import { NotFound } from '../platform/refusals.ts';
import { originOf, SETTINGS, type Settings } from '../platform/settings.ts';

const DAYS_PER_YEAR = 365.25;
const DAY_MS = 86_400_000;
const IDS_A_QUERY = 1000;

type ById<T> = ReadonlyMap<string, T>;
interface Around {
  readonly stores: ById<Store>;
  readonly zones: ById<Zone>;
  readonly positions: ById<Position>;
  readonly fillings: ById<Filling>;
  readonly accounts: ById<Account>;
  readonly lots: ById<SpiritLot>;
}

/** What the records say in the words of label templates. */
@Injectable()
export class LabelFields {
  constructor(
    private readonly records: Records,
    private readonly reader: Reader,
    private readonly clock: Clock,
    private readonly origins: OriginsOf,
    @Inject(SETTINGS) private readonly settings: Settings,
  ) {}

  /** Fields of each subject, in the order asked. @throws NotFound */
  async of(kind: LabelTemplateInfo['subject'], ids: readonly string[]): Promise<Fields[]> {
    const printings = await this.printings(ids);
    const fields = await this.#byId(kind, ids);
    return ids.map((id) => {
      const own = fields.get(id);
      if (!own) throw new NotFound(`There is no ${kind} ${id}.`);
      const before = printings.get(id)?.times ?? 0;
      return {
        estateName: this.settings.estateName,
        printedOn: this.clock.instant().slice(0, 10),
        copyNumber: before > 0 ? before + 1 : undefined,
        ...own,
      };
    });
  }

  async #byId(
    kind: LabelTemplateInfo['subject'],
    ids: readonly string[],
  ): Promise<Map<string, Fields>> {
    switch (kind) {
      case 'cask': {
        const casks = await this.records.get('cask', ids);
        const around = await this.#around(casks);
        return new Map(casks.map((cask) => [cask.id, this.#cask(cask, around)]));
      }
      case 'position': {
        const positions = await this.records.byId('position', ids);
        const all = [...positions.values()];
        const zones = await this.records.byId(
          'zone',
          all.map((p) => p.zoneId),
        );
        const stores = await this.records.byId(
          'store',
          all.map((p) => p.storeId),
        );
        return new Map(all.map((p) => [p.id, this.#position(p, zones, stores)]));
      }
      case 'sample': {
        const samples = await this.records.get('sample', ids);
        const casks = await this.records.byId(
          'cask',
          samples.map((s) => s.caskId),
        );
        const around = await this.#around([...casks.values()]);
        return new Map(
          samples.map((sample) => {
            const cask = casks.get(sample.caskId);
            return [sample.id, this.#sample(sample, cask ? this.#cask(cask, around) : {})];
          }),
        );
      }
      case 'vat': {
        const vats = await this.records.get('vat', ids);
        const stores = await this.records.byId(
          'store',
          vats.map((vat) => vat.storeId),
        );
        return new Map(
          vats.map(({ id, code, name, storeId }) => [
            id,
            {
              storeName: stores.get(storeId)?.name,
              vatCode: code,
              vatUrl: this.#address('v', code),
              vatName: name,
            },
          ]),
        );
      }
      case 'bottling-run': {
        const runs = await this.records.get('bottling-run', ids);
        const fillings = await this.records.byId(
          'filling',
          runs.flatMap((run) => run.fillings.map((f) => f.fillingId)),
        );
        const origins = await this.origins.many(runs.map((run) => run.lotShares));
        return new Map(
          runs.map((run, i) => [run.id, this.#bottling(run, fillings, origins[i]?.plots ?? [])]),
        );
      }
    }
  }

  async #around(casks: readonly Cask[]): Promise<Around> {
    const of = (pick: (cask: Cask) => string | null): string[] =>
      casks.flatMap((cask) => pick(cask) ?? []);
    const fillings = await this.records.byId(
      'filling',
      of((c) => c.fillingId),
    );
    const held = [...fillings.values()];
    return {
      stores: await this.records.byId(
        'store',
        of((c) => c.storeId),
      ),
      zones: await this.records.byId(
        'zone',
        of((c) => c.zoneId),
      ),
      positions: await this.records.byId(
        'position',
        of((c) => c.positionId),
      ),
      fillings,
      accounts: await this.records.byId(
        'account',
        held.map((f) => f.accountId),
      ),
      lots: await this.records.byId(
        'spirit-lot',
        held.flatMap((f) => Object.keys(f.lotShares)),
      ),
    };
  }

  #cask(cask: Cask, around: Around): Fields {
    const { cooperage } = cask;
    const store = around.stores.get(cask.storeId ?? '');
    const zone = around.zones.get(cask.zoneId ?? '');
    const position = around.positions.get(cask.positionId ?? '');
    const filling = around.fillings.get(cask.fillingId ?? '');
    return {
      storeName: store?.name,
      zoneName: zone?.name,
      positionCode: position?.code,
      positionName: position && placeName(position),
      rowName: position?.row,
      bayName: position?.bay,
      levelName: position?.level,
      caskCode: cask.code,
      caskUrl: urlOf(cask, originOf(this.settings)),
      giai: cask.giai ?? undefined,
      caskKind: capital(cooperage.kind),
      nominalLitres: cooperage.nominalLitres,
      woodSpecies: cooperage.woodSpecies,
      seasoning:
        cooperage.seasoningMonths === null
          ? undefined
          : `${String(cooperage.seasoningMonths)} months`,
      toast: toastOf(cooperage),
      previousContents:
        cooperage.previousContents === 'none' ? undefined : capital(cooperage.previousContents),
      cooperNumber: cask.aliases[0],
      emptyWeightKg: cask.tareKg ?? undefined,
      ...(filling ? this.#filling(filling, cask, store, around) : {}),
    };
  }

  #filling(filling: Filling, cask: Cask, store: Store | undefined, around: Around): Fields {
    const lots = Object.entries(filling.lotShares)
      .sort((a, b) => b[1] - a[1])
      .flatMap(([id]) => around.lots.get(id) ?? []);
    const { fillFigures: figures } = filling;
    return {
      ownerName: around.accounts.get(filling.accountId)?.name,
      fillingCode: filling.code,
      fillingNumber: filling.fillNumber,
      filledOn: localDate(filling.filledAt, store?.timeZone),
      fillBulkLitresAt20C: figures.bulkLitresAt20C,
      fillStrengthPercentVol: figures.strengthPercentVol,
      fillLitresPureAlcohol: figures.litresPureAlcohol,
      spiritLot:
        lots.length === 0
          ? undefined
          : lots
              .slice(0, 2)
              .map((lot) => lot.code)
              .join(' + '),
      spiritKind: lots[0]?.name,
      grossWeightKg: cask.tareKg === null ? undefined : Math.round(cask.tareKg + massKg(filling)),
    };
  }

  #position(position: Position, zones: ById<Zone>, stores: ById<Store>): Fields {
    return {
      storeName: stores.get(position.storeId)?.name,
      zoneName: zones.get(position.zoneId)?.name,
      positionCode: position.code,
      positionUrl: this.#address('p', position.code),
      positionName: placeName(position),
      rowName: position.row,
      bayName: position.bay,
      levelName: position.level,
      capacity: position.capacity,
    };
  }

  #sample(sample: Sample, cask: Fields): Fields {
    return {
      ...cask,
      sampleCode: sample.code,
      sampleUrl: this.#address('s', sample.code),
      sampledOn: sample.takenAt.slice(0, 10),
      sampleVolumeMl: Math.round(sample.bulkLitresAt20C * 1000),
      sampleStrengthPercentVol: sample.strengthPercentVol,
      samplePurpose: sample.purpose,
    };
  }

  #bottling(run: BottlingRun, fillings: ById<Filling>, plots: readonly { name: string }[]): Fields {
    const ages = run.fillings.flatMap(({ fillingId }) => {
      const filling = fillings.get(fillingId);
      if (!filling) return [];
      const until = filling.emptiedAt ?? run.at;
      const days = (Date.parse(until) - Date.parse(filling.agedFrom)) / DAY_MS;
      return [(days + filling.agedDaysBefore) / DAYS_PER_YEAR];
    });
    const origins = plots.map(({ name }) => name);
    return {
      runCode: run.code,
      runGtin: run.gtin ?? undefined,
      runName: run.name,
      // Scheme, host and our codes mean the same in capitals, which a QR code holds in fewer modules.
      runUrl: runAddress(run, originOf(this.settings)).toUpperCase(),
      bottledOn: run.at.slice(0, 10),
      bottleStrengthPercentVol: run.labelStrengthPercentVol,
      bottleVolumeMl: run.bottleMl,
      bottleCount: run.bottles,
      youngestAgeYears: ages.length === 0 ? undefined : Math.floor(Math.min(...ages)),
      originLine: origins.length === 0 ? undefined : lineOf(origins),
    };
  }

  /** Address of a thing by its code: the compact upper-case one where the code is one of ours. */
  #address(letter: string, code: string): string {
    const origin = originOf(this.settings);
    if (checkCode(code).status === 'ok') return codeUrl(origin, code);
    return `${origin}/${letter}/${encodeURIComponent(code)}`;
  }

  /** How often and when last each was printed before; those that never were are not in it. */
  async printings(ids: readonly string[]): Promise<Map<string, { times: number; lastAt: string }>> {
    const printed = new Map<string, { times: number; lastAt: string }>();
    for (let from = 0; from < ids.length; from += IDS_A_QUERY) {
      const rows = await this.reader.all<{ id: string; times: number; lastAt: string }>(
        sql`SELECT "subjectId" AS "id", COUNT(*) AS "times", MAX("at") AS "lastAt" FROM "label_print"
            WHERE "subjectId" IN (${join(ids.slice(from, from + IDS_A_QUERY))}) GROUP BY "subjectId"`,
      );
      for (const { id, times, lastAt } of rows) printed.set(id, { times: Number(times), lastAt });
    }
    return printed;
  }
}

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);
const placeName = ({ row, bay, level, slot }: Position): string =>
  [row, bay, level, slot].filter((part) => part !== '').join(' · ');

function toastOf({ toast, char }: Cask['cooperage']): string | undefined {
  const parts = [toast && `${toast} toast`, char && `char ${char}`].filter(
    (p) => p !== null && p !== '',
  );
  return parts.length === 0
    ? undefined
    : capital(parts.join(', ')).replace(/toast toast$/i, 'toast');
}

const massKg = ({ content }: Filling): number =>
  Object.values(content.ethanolMgByLot).reduce((sum, mg) => sum + mg, content.waterMg) / 1e6;

/** Calendar day of an instant where the cask lies. */
function localDate(instant: string, timeZone: string | undefined): string {
  if (timeZone === undefined) return instant.slice(0, 10);
  const format = new Intl.DateTimeFormat('en-CA', { timeZone, dateStyle: 'short' });
  return format.format(new Date(instant));
}

function lineOf(names: readonly string[]): string {
  const told = names.slice(0, 3);
  const rest = names.length - told.length;
  if (rest > 0) return `${told.join(', ')} and ${String(rest)} more`;
  return told.length < 2
    ? told.join('')
    : `${told.slice(0, -1).join(', ')} and ${told.at(-1) ?? ''}`;
}
