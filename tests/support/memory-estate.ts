/** A small estate for the domain's tests: made through acts, like everything else. */
import {
  RECORD_KINDS,
  type Act,
  type ActOf,
  type JournalEntry,
  type SubmittableKind,
  type VerifyReport,
} from '@rundlet/contracts';
import { makeCaskCode, makePositionCode } from '@rundlet/identifiers';
import {
  canonicalJson,
  DomainError,
  MemoryJournal,
  MemoryRecords,
  NO_FORECAST,
  storedForm,
  releaseHeld,
  sha256Hex,
  submitAct,
  verifyJournal,
  type Submitted,
  type VerifyInput,
} from '@rundlet/domain';
import { PLAIN_BARREL } from './plain-barrel.ts';

/** Ids that look like UUIDv7 and count up. */
export const testId = (n: number): string =>
  `019a0000-0000-7000-8000-${n.toString(16).padStart(12, '0')}`;
export const day = (n: number): string =>
  new Date(Date.UTC(2020, 0, 1) + n * 86_400_000).toISOString();

export class TestEstate {
  readonly journal = new MemoryJournal();
  readonly records = new MemoryRecords();
  #ids = 1_000_000;
  readonly sent: Act[] = [];
  actorId = 'operative';

  newId(): string {
    this.#ids += 1;
    return testId(this.#ids);
  }
  make<K extends SubmittableKind>(
    kind: K,
    body: ActOf<K>['body'],
    at = day(1000),
    more: Partial<Act> = {},
  ): Act {
    return { id: this.newId(), kind, happenedAt: at, body, ...more } as Act;
  }
  async do<K extends SubmittableKind>(
    kind: K,
    body: ActOf<K>['body'],
    at = day(1000),
    more: Partial<Act> = {},
  ): Promise<Submitted> {
    return this.send(this.make(kind, body, at, more));
  }
  async send(act: Act): Promise<Submitted> {
    this.sent.push(act);
    const context = {
      actorId: this.actorId,
      receivedAt: day(4000),
      journal: this.journal,
      records: this.records,
      forecast: NO_FORECAST,
    };
    const submitted = await submitAct(act, context);
    if (submitted.status === 'applied')
      await releaseHeld(submitted.entry, context, () => this.newId());
    return submitted;
  }

  readonly store = testId(1);
  readonly zones = [testId(2), testId(3)] as const;
  readonly account = testId(4);
  /** The last is for duty-paid spirit. */
  readonly vats = [testId(5), testId(6), testId(7), testId(10)] as const;
  readonly lots = [testId(8), testId(9)] as const;
  positions: string[] = [];
  casks: string[] = [];

  async build(casks = 6): Promise<this> {
    await this.do(
      'store.register',
      { id: this.store, code: 'N', name: 'North store', timeZone: 'Europe/London', remark: null },
      day(0),
    );
    for (const [i, id] of this.zones.entries())
      await this.do(
        'zone.register',
        { id, storeId: this.store, code: `N${String(i)}`, name: `Floor ${String(i)}`, floor: i },
        day(0),
      );
    this.positions = Array.from({ length: casks + 3 }, (_, i) => testId(100 + i));
    for (const [z, zoneId] of this.zones.entries())
      await this.do(
        'position.register',
        {
          zoneId,
          positions: this.positions
            .map((id, i) => ({ id, i }))
            .filter(({ i }) => i % 2 === z)
            .map(({ id, i }) => ({
              id,
              code: makePositionCode(i),
              row: 'A',
              bay: String(i),
              level: '1',
              slot: '1',
              capacity: 1,
              walkOrder: i,
            })),
        },
        day(0),
      );
    await this.do(
      'account.register',
      { id: this.account, code: 'OWN', name: 'The estate', kind: 'own', remark: null },
      day(0),
    );
    for (const [i, id] of this.vats.entries())
      await this.do(
        'vat.register',
        {
          id,
          code: `V${String(i)}`,
          name: `Vat ${String(i)}`,
          storeId: this.store,
          accountId: this.account,
          capacityLitres: 20_000,
          ...(i === 3 ? { dutyStatus: 'paid' } : {}),
        },
        day(0),
      );
    for (const [i, id] of this.lots.entries())
      await this.do(
        'spirit-lot.record',
        { id, code: `L${String(i)}`, name: `Lot ${String(i)}`, inputs: [] },
        day(0),
      );
    this.casks = Array.from({ length: casks }, (_, i) => testId(200 + i));
    for (const [i, id] of this.casks.entries())
      await this.do(
        'cask.register',
        {
          id,
          code: makeCaskCode(i),
          giai: null,
          aliases: [],
          earlierFillings: 0,
          tareKg: 50,
          capacityLitres: 205,
          positionId: this.positions[i] ?? null,
          ...PLAIN_BARREL,
        },
        day(0),
      );
    return this;
  }
  receive(vat: string, lot: string, litres: number, strength: number, at = day(1)) {
    return this.do(
      'spirit.receive',
      {
        vatId: vat,
        lotId: lot,
        readings: { method: 'declared', bulkLitresAt20C: litres, strengthPercentVol: strength },
      },
      at,
    );
  }
  fill(
    cask: string,
    vat: string,
    litres: number,
    strength: number,
    at = day(2),
    position: string | null = null,
  ) {
    return this.do(
      'cask.fill',
      {
        caskId: cask,
        fillingId: this.newId(),
        vatId: vat,
        positionId: position,
        readings: { method: 'declared', bulkLitresAt20C: litres, strengthPercentVol: strength },
      },
      at,
    );
  }
  fillingOf(caskId: string) {
    const cask = this.records.peek('cask', caskId);
    return cask?.fillingId ? this.records.peek('filling', cask.fillingId) : null;
  }
}

/** The code an act is refused with. */
export async function refusal(doing: Promise<unknown>): Promise<string> {
  const error: unknown = await doing.then(
    () => null,
    (thrown: unknown) => thrown,
  );
  if (!(error instanceof DomainError)) throw error;
  return error.code;
}

/** Verifies entries against records kept in memory, as a store would have them. */
export function verifyInMemory(
  entries: readonly JournalEntry[],
  records: MemoryRecords | null,
  more: Partial<VerifyInput> = {},
): Promise<VerifyReport> {
  const stored = records
    ? RECORD_KINDS.flatMap((kind) =>
        records.all(kind).map((r) => ({ kind, id: r.id, hash: sha256Hex(canonicalJson(r)) })),
      )
    : [];
  return verifyJournal({
    entries: each([entries.map(storedForm)]),
    stored: each([stored]),
    lookup: {
      hashOf: async (seq) => entries.find((e) => e.seq === seq)?.hash ?? null,
      seqOf: async (id) => entries.find((e) => e.id === id)?.seq ?? null,
    },
    ...more,
  });
}

export async function* each<T>(items: Iterable<T>): AsyncGenerator<T> {
  for (const item of items) yield item;
}
