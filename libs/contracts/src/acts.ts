/**
 * Every way the state can change. An act is made where it happens (phone included) with its own UUIDv7, sent once or
 * many times, decided once, and kept for good in the journal together with its outcome.
 */
import { z } from 'zod';
import { Attachment, MOST_ATTACHMENTS } from './attachments.ts';
import {
  CalendarDate,
  Code,
  Id,
  Instant,
  Litres,
  Month,
  Name,
  PositiveLitres,
  Remark,
  Share,
  StrengthPercentVol,
  TemperatureC,
  TemplateId,
} from './primitives.ts';
import { GaugeReadings } from './readings.ts';
import {
  Account,
  CASK_CONDITIONS,
  CaskGeometry,
  CaskResult,
  Cooperage,
  DutyStatus,
  Ferment,
  HarvestLot,
  KEEPER_VERDICTS,
  LABEL_SUBJECTS,
  Plot,
  PRINTER_FACTS,
  StillRun,
  StocktakeScope,
  Stow,
} from './records.ts';
import type { Role } from './roles.ts';

const register = <S extends z.ZodRawShape>(record: z.ZodObject<S>) =>
  record.omit({ lastEntryId: true } as never) as unknown as z.ZodObject<
    Omit<S, 'lastEntryId'>,
    z.core.$strict
  >;

/** For acts that somebody saw done or has a paper of. */
const evidence = {
  attachments: z
    .array(Attachment)
    .min(1)
    .max(MOST_ATTACHMENTS, `must be at most ${String(MOST_ATTACHMENTS)} files`)
    .optional(),
};

/** What is told of a step of the chain when it is recorded. */
const recorded = <S extends z.ZodRawShape>(record: z.ZodObject<S>) =>
  record.omit({ lastEntryId: true, corrected: true } as never) as unknown as z.ZodObject<
    Omit<S, 'lastEntryId' | 'corrected'>,
    z.core.$strict
  >;
const STEP_FACTS = {
  plot: recorded(Plot),
  'harvest-lot': recorded(HarvestLot),
  ferment: recorded(Ferment),
  'still-run': recorded(StillRun),
  'spirit-lot': z.strictObject({
    id: Id,
    code: Code,
    name: Name,
    /** Empty for spirit bought in or older than the records. */
    inputs: z.array(z.strictObject({ stillRunId: Id, share: Share })),
  }),
};
/** The steps of the chain that are told, not worked out. */
export type StepKind = keyof typeof STEP_FACTS;
export const STEP_KINDS = Object.keys(STEP_FACTS) as [StepKind, ...StepKind[]];
export type StepFacts<K extends StepKind = StepKind> = z.infer<(typeof STEP_FACTS)[K]>;

/** The facts that were wrong, as they should have been; the others stay. */
const correction = <K extends StepKind>(kind: K) =>
  z.strictObject({
    kind: z.literal(kind),
    id: Id,
    to: (STEP_FACTS[kind] as unknown as z.ZodObject)
      .omit({ id: true })
      .partial() as unknown as z.ZodType<Partial<Omit<StepFacts<K>, 'id'>>>,
    reason: Name,
  });

export const ActBody = {
  // ---- places and parties -----------------------------------------------------------------------------------
  'store.register': z.strictObject({
    id: Id,
    code: Code,
    name: Name,
    timeZone: z.string().min(1),
    remark: Remark.nullable(),
  }),
  'zone.register': z.strictObject({
    id: Id,
    storeId: Id,
    code: Code,
    name: Name,
    floor: z.int().min(-5).max(60),
    stow: Stow.nullable().optional(),
  }),
  /** How the zone is stowed, said for the first time or anew. */
  'zone.describe': z.strictObject({ zoneId: Id, stow: Stow }),
  'position.register': z.strictObject({
    zoneId: Id,
    positions: z
      .array(
        z.strictObject({
          id: Id,
          code: Code,
          row: Name,
          bay: Name,
          level: Name,
          slot: Name,
          capacity: z.int().min(1).max(1000),
          walkOrder: z.int().min(0),
        }),
      )
      .min(1)
      .max(2000),
  }),
  'account.register': register(Account),
  'vat.register': z.strictObject({
    id: Id,
    code: Code,
    name: Name,
    storeId: Id,
    accountId: Id,
    capacityLitres: PositiveLitres,
    /** Left out, it is for spirit under duty suspension. */
    dutyStatus: DutyStatus.optional(),
  }),

  // ---- lineage ------------------------------------------------------------------------------------------------
  'plot.record': STEP_FACTS.plot,
  'harvest.record': STEP_FACTS['harvest-lot'],
  'ferment.record': STEP_FACTS.ferment,
  'still-run.record': STEP_FACTS['still-run'],
  'spirit-lot.record': STEP_FACTS['spirit-lot'],
  'step.correct': z.discriminatedUnion('kind', [
    correction('plot'),
    correction('harvest-lot'),
    correction('ferment'),
    correction('still-run'),
    correction('spirit-lot'),
  ]),

  // ---- vats ---------------------------------------------------------------------------------------------------
  'spirit.receive': z.strictObject({ vatId: Id, lotId: Id, readings: GaugeReadings, ...evidence }),
  'vat.gauge': z.strictObject({
    vatId: Id,
    readings: GaugeReadings,
    cause: z.enum(['filling-difference', 'vat-difference']),
    ...evidence,
  }),
  'vat.reduce': z.strictObject({
    vatId: Id,
    waterLitres: PositiveLitres,
    waterTemperatureC: TemperatureC,
  }),
  'vat.transfer': z.strictObject({ fromVatId: Id, toVatId: Id, bulkLitresAt20C: PositiveLitres }),
  'vat.deliver': z.strictObject({
    vatId: Id,
    bulkLitresAt20C: PositiveLitres,
    to: Name,
    kind: z.enum(['delivered', 'bottled', 'destroyed']),
    ...evidence,
  }),

  /** Litres are drawn from a vat and filled into bottles; what is not in them is the loss. */
  'bottling.record': z.strictObject({
    id: Id,
    code: Code,
    name: Name,
    vatId: Id,
    /** The blend that is in the vat, which names the casks; null when none was recorded. */
    blendId: Id.nullable(),
    bulkLitresAt20C: PositiveLitres,
    bottles: z.int().min(1).max(10_000_000),
    bottleMl: z.number().min(10, 'must be at least 10 mL').max(30_000, 'must be at most 30 L'),
    /** As the label says it. */
    labelStrengthPercentVol: StrengthPercentVol,
    gtin: z
      .string()
      .regex(/^\d{14}$/, 'a GTIN of 14 digits is needed; put zeros before a shorter one')
      .nullable(),
  }),

  // ---- casks --------------------------------------------------------------------------------------------------
  'cask.register': z.strictObject({
    id: Id,
    code: Code,
    cooperage: Cooperage,
    geometry: CaskGeometry,
    capacityLitres: PositiveLitres.nullable(),
    tareKg: z.number().positive().max(2000).nullable(),
    giai: z.string().max(30).nullable(),
    aliases: z.array(z.string().min(1).max(60)).max(20),
    earlierFillings: z.int().min(0).max(50),
    positionId: Id.nullable(),
  }),
  'cask.fill': z.strictObject({
    caskId: Id,
    fillingId: Id,
    vatId: Id,
    readings: GaugeReadings,
    positionId: Id.nullable(),
    ...evidence,
  }),
  'cask.gauge': z.strictObject({ caskId: Id, readings: GaugeReadings, ...evidence }),
  'cask.move': z.strictObject({
    caskId: Id,
    positionId: Id,
    /** The count that found the cask there: the book is put right, the cask stays where it is. */
    stocktakeId: Id.optional(),
  }),
  'cask.top-up': z.strictObject({
    caskId: Id,
    source: z.discriminatedUnion('kind', [
      z.strictObject({ kind: z.literal('vat'), vatId: Id }),
      z.strictObject({ kind: z.literal('cask'), caskId: Id }),
    ]),
    bulkLitresAt20C: PositiveLitres,
    ...evidence,
  }),
  'cask.re-rack': z.strictObject({
    fromCaskId: Id,
    toCaskId: Id,
    fillingId: Id,
    readings: GaugeReadings.nullable(),
    positionId: Id.nullable(),
    ...evidence,
  }),
  'cask.sample': z.strictObject({
    caskId: Id,
    sampleId: Id,
    code: Code,
    bulkLitresAt20C: PositiveLitres.max(20, 'a sample is at most 20 L'),
    purpose: Name,
    ...evidence,
  }),
  'cask.result': z.strictObject({
    id: Id,
    caskId: Id,
    kind: CaskResult.shape.kind,
    measure: Name,
    value: z.number().min(-1e6).max(1e6),
    unit: CaskResult.shape.unit,
    remark: Remark.nullable(),
    ...evidence,
  }),
  'cask.disgorge': z.strictObject({
    caskId: Id,
    vatId: Id,
    readings: GaugeReadings.nullable(),
    bulkLitresAt20C: PositiveLitres.nullable(),
    planId: Id.nullable(),
    ...evidence,
  }),
  'cask.inspect': z.strictObject({
    caskId: Id,
    condition: z.enum(CASK_CONDITIONS),
    finding: Remark,
    ...evidence,
  }),
  'cask.note': z.strictObject({
    caskId: Id,
    text: Remark.min(1, 'must not be empty'),
    ...evidence,
  }),
  /** Measures taken of the wood after it was registered; they stand for every gauge from then on. */
  'cask.measure': z.strictObject({
    caskId: Id,
    geometry: CaskGeometry,
    capacityLitres: PositiveLitres.nullable(),
    tareKg: z.number().positive().max(2000).nullable(),
    ...evidence,
  }),
  'cask.alias': z.strictObject({ caskId: Id, alias: z.string().trim().min(1).max(60) }),
  'cask.hold': z.strictObject({ caskId: Id, reason: Name.nullable() }),
  'cask.change-owner': z.strictObject({ caskId: Id, accountId: Id }),
  /** The whole of what is in the cask leaves duty suspension, by a paper of the authority's, and stays in the cask. */
  'cask.release-duty': z.strictObject({ caskId: Id, reference: Name, ...evidence }),
  'cask.retire': z.strictObject({ caskId: Id, reason: Name, ...evidence }),
  'gauge.judge': z.strictObject({
    gaugeId: Id,
    verdict: z.enum(KEEPER_VERDICTS),
    reason: Remark.min(1, 'must not be empty'),
  }),

  // ---- stock-take ---------------------------------------------------------------------------------------------
  'stocktake.open': z.strictObject({
    id: Id,
    code: Code,
    title: Name,
    scope: StocktakeScope,
    blind: z.boolean(),
  }),
  'stocktake.count': z.strictObject({
    stocktakeId: Id,
    scanned: z.string().trim().min(1).max(200),
    caskId: Id.nullable(),
    positionId: Id.nullable(),
    damagedLabel: z.boolean(),
  }),
  'stocktake.reconcile': z.strictObject({
    stocktakeId: Id,
    resolutions: z
      .array(
        z.strictObject({
          lineId: z.string(),
          resolution: z.enum([
            'move-to-found',
            'leave-as-book',
            'take-out-of-place',
            'note-unknown',
          ]),
          reason: Name,
        }),
      )
      .max(10_000),
  }),
  /** Asks for these lines to be counted again; none named means every difference that is not settled. */
  'stocktake.recount': z.strictObject({
    stocktakeId: Id,
    lineIds: z.array(z.string()).max(10_000),
    reason: Name,
  }),
  'stocktake.abandon': z.strictObject({ stocktakeId: Id, reason: Name }),
  'stocktake.sign': z.strictObject({ stocktakeId: Id, statement: Name }),

  // ---- blends -------------------------------------------------------------------------------------------------
  'plan.save': z.strictObject({
    id: Id,
    code: Code,
    name: Name,
    blendOn: CalendarDate,
    targetLitresAt20C: PositiveLitres,
    targetStrengthPercentVol: StrengthPercentVol,
    request: z.record(z.string(), z.unknown()),
    answer: z.record(z.string(), z.unknown()),
    parts: z
      .array(
        z.strictObject({
          fillingId: Id,
          bulkLitresAt20C: PositiveLitres,
          strengthPercentVol: StrengthPercentVol,
          whole: z.boolean(),
        }),
      )
      .min(1)
      .max(5000),
    waterLitresAt20C: Litres,
  }),
  'plan.reserve': z.strictObject({ planId: Id, vatId: Id }),
  /** Casks reserved are free again; the plan stays and can be reserved anew. */
  'plan.release': z.strictObject({ planId: Id }),
  /** A cask of the plan is taken out of its position, known by its label; or put back. */
  'plan.scan-out': z.strictObject({ planId: Id, caskId: Id, out: z.boolean() }),
  /** A draw, a reduction or a gauge of its vat is undone, as long as the plan is not vatted. */
  'plan.take-back': z.strictObject({ planId: Id, entryId: Id, reason: Name }),
  'plan.cancel': z.strictObject({ planId: Id, reason: Name }),
  'plan.complete': z.strictObject({
    planId: Id,
    blendId: Id,
    code: Code,
    name: Name,
    readings: GaugeReadings,
  }),

  // ---- alcohol account ------------------------------------------------------------------------------------------
  /** Locks a month for every account: what comes later for it counts in the next. Months are closed in turn. */
  'account.close-month': z.strictObject({ month: Month }),

  // ---- climate, labels, settings, corrections -------------------------------------------------------------------
  'climate.import': z.strictObject({
    zoneId: Id,
    logger: Name,
    contentSha256: z.string().length(64),
    rowCount: z.int().min(1),
    rejectedCount: z.int().min(0),
    firstAt: Instant,
    lastAt: Instant,
  }),
  'label.print': z.strictObject({
    subjects: z
      .array(z.strictObject({ kind: z.enum(LABEL_SUBJECTS), id: Id }))
      .min(1)
      .max(5000),
    templateId: z.string().min(1).max(80),
    reason: Name.nullable(),
    copies: z.int().min(1).max(5000),
  }),
  /** Labels printed before there are casks for them. */
  'spare-label.print': z.strictObject({
    codes: z.array(Code).min(1).max(500),
    templateId: z.string().min(1).max(80),
  }),
  /** A template of the site's own, checked by the label library before it is used; null takes it out of use. */
  'label-template.save': z.strictObject({
    id: TemplateId,
    template: z.record(z.string(), z.unknown()).nullable(),
  }),
  'printer.save': z.strictObject({ id: Id, ...PRINTER_FACTS }),
  'setting.set': z.strictObject({
    key: z.string().min(1).max(80),
    value: z.unknown(),
    effectiveFrom: CalendarDate,
  }),
  'entry.reverse': z.strictObject({ entryId: Id, reason: Name }),
  /** Written by the program when it begins to sign with a new key. */
  'signing-key.announce': z.strictObject({
    /** The public key's 32 bytes, base64url. */
    x: z.string().regex(/^[\w-]{43}$/),
    /** Thumbprint of the key it takes over from; null for the first, or when the one before was lost. */
    follows: z.string().nullable(),
    /** The key before says, signed, that this one follows it. */
    endorsement: z.string().nullable(),
  }),
  /** Written by the program: what the estate tells the public of a bottling run, signed. */
  'bottling.publish': z.strictObject({ runId: Id, statement: z.string().max(60_000) }),
  /** Written by the program: the journal's last entry and its hash, signed. */
  'checkpoint.sign': z.strictObject({ statement: z.string().max(2000) }),
  /** Written by the program when an act from a device's outbox can't be applied: the act is kept whole for a keeper. */
  'act.hold': z.strictObject({
    act: z.record(z.string(), z.unknown()),
    problem: z.looseObject({ code: z.string(), message: z.string() }),
  }),
  'held.settle': z.strictObject({
    heldActId: Id,
    verdict: z.enum(['try-again', 'discard']),
    reason: Name,
  }),
} as const;

export type ActKind = keyof typeof ActBody;
export const ACT_KINDS = Object.keys(ActBody) as ActKind[];
export type BodyOf<K extends ActKind> = z.infer<(typeof ActBody)[K]>;
/** Whether such an act may carry attachments. */
export const carriesAttachments = (kind: ActKind): boolean => {
  const body = ActBody[kind];
  return 'shape' in body && 'attachments' in body.shape;
};

interface Envelope {
  /** UUIDv7 made where the act happened; the act is applied once, however often it is sent. */
  id: string;
  happenedAt: string;
  /** Device that made it, when it came from one with a token or an outbox of its own. */
  deviceId?: string | undefined;
  /** True when the act waited in a device's outbox: then a refusal parks it instead of losing it. */
  offline?: boolean | undefined;
}
export type ActOf<K extends ActKind> = Envelope & { kind: K; body: BodyOf<K> };
/** Entries only the program itself writes. */
export const PROGRAM_KINDS = [
  'act.hold',
  'signing-key.announce',
  'checkpoint.sign',
  'bottling.publish',
] as const satisfies readonly ActKind[];
/** Everything a person or device can send: all but the program's own entries. */
export type SubmittableKind = Exclude<ActKind, (typeof PROGRAM_KINDS)[number]>;
/** Any act, the program's own included. */
export type AnyAct = { [K in ActKind]: ActOf<K> }[ActKind];
export type Act = { [K in SubmittableKind]: ActOf<K> }[SubmittableKind];

const envelopes = ACT_KINDS.filter(
  (kind) => !(PROGRAM_KINDS as readonly ActKind[]).includes(kind),
).map((kind) =>
  z.strictObject({
    id: Id,
    kind: z.literal(kind),
    happenedAt: Instant,
    deviceId: z.string().max(60).optional(),
    offline: z.boolean().optional(),
    body: ActBody[kind],
  }),
);
/** Any act, told apart by `kind`. */
export const Act = z.discriminatedUnion(
  'kind',
  envelopes as unknown as [(typeof envelopes)[0]],
) as unknown as z.ZodType<Act>;

/** The least role that may do each act. */
export const ACT_ROLE = {
  'store.register': 'keep',
  'zone.register': 'keep',
  'zone.describe': 'keep',
  'position.register': 'keep',
  'account.register': 'keep',
  'vat.register': 'keep',
  'plot.record': 'warehouse',
  'harvest.record': 'warehouse',
  'ferment.record': 'warehouse',
  'still-run.record': 'warehouse',
  'spirit-lot.record': 'warehouse',
  'step.correct': 'keep',
  'spirit.receive': 'warehouse',
  'vat.gauge': 'warehouse',
  'vat.reduce': 'warehouse',
  'vat.transfer': 'warehouse',
  'vat.deliver': 'keep',
  'cask.register': 'warehouse',
  'cask.fill': 'warehouse',
  'cask.gauge': 'warehouse',
  'cask.move': 'warehouse',
  'cask.top-up': 'warehouse',
  'cask.re-rack': 'warehouse',
  'cask.sample': 'warehouse',
  'cask.result': 'blend',
  'cask.disgorge': 'warehouse',
  'cask.inspect': 'warehouse',
  'cask.note': 'warehouse',
  'cask.measure': 'warehouse',
  'cask.alias': 'warehouse',
  'cask.hold': 'blend',
  'cask.change-owner': 'keep',
  'cask.release-duty': 'keep',
  'cask.retire': 'keep',
  'gauge.judge': 'keep',
  'stocktake.open': 'keep',
  'stocktake.count': 'warehouse',
  'stocktake.reconcile': 'keep',
  'stocktake.recount': 'keep',
  'stocktake.abandon': 'keep',
  'stocktake.sign': 'keep',
  'plan.save': 'blend',
  'plan.reserve': 'blend',
  'plan.release': 'blend',
  'plan.scan-out': 'warehouse',
  'plan.take-back': 'warehouse',
  'plan.cancel': 'blend',
  'plan.complete': 'blend',
  'account.close-month': 'keep',
  'climate.import': 'warehouse',
  'label.print': 'warehouse',
  'spare-label.print': 'warehouse',
  'label-template.save': 'keep',
  'printer.save': 'keep',
  'setting.set': 'administer',
  'entry.reverse': 'keep',
  'held.settle': 'keep',
  'act.hold': 'administer',
  'signing-key.announce': 'administer',
  'checkpoint.sign': 'administer',
  'bottling.publish': 'administer',
  'bottling.record': 'keep',
} as const satisfies Record<ActKind, Role>;

/** Kinds of entries that take another back; each names it as `entryId`. */
export const REVERSING_KINDS: readonly ActKind[] = ['entry.reverse', 'plan.take-back'];

/** One line of the journal. `outcome` holds what the act came to: computed figures, differences booked. */
export const JournalEntry = z.strictObject({
  seq: z.int().min(1),
  id: Id,
  kind: z.enum(ACT_KINDS as [ActKind, ...ActKind[]]),
  happenedAt: Instant,
  receivedAt: Instant,
  actorId: z.string(),
  deviceId: z.string().nullable(),
  body: z.record(z.string(), z.unknown()),
  outcome: z.record(z.string(), z.unknown()),
  /** Records the entry touched, as `kind:id`. */
  subjects: z.array(z.string()),
  previousHash: z.string().length(64),
  hash: z.string().length(64),
});
export type JournalEntry = z.infer<typeof JournalEntry>;
