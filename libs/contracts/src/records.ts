/**
 * The state records the journal folds into. Each is stored as written here, so this file is the one definition of
 * a cask, a filling, a vat … for the server, the web app and the command line.
 */
import { z } from 'zod';
import {
  CalendarDate,
  Code,
  Id,
  Instant,
  Litres,
  Milligrams,
  Month,
  Name,
  Remark,
  StrengthPercentVol,
} from './primitives.ts';
import { FigureUncertainties, GaugeReadings, LiquidFigures } from './readings.ts';

/** A liquid as conserved masses: water, and ethanol by the spirit lot it came from. */
export const Content = z.strictObject({
  waterMg: Milligrams,
  ethanolMgByLot: z.record(Id, Milligrams),
});
export type Content = z.infer<typeof Content>;

/** The last journal entry that changed this record. */
const lastEntryId = Id;

// ---- places -------------------------------------------------------------------------------------------------
export const Store = z.strictObject({
  id: Id,
  code: Code,
  name: Name,
  timeZone: z.string(),
  remark: Remark.nullable(),
  lastEntryId,
});
export type Store = z.infer<typeof Store>;

/** Where one gets at a row from. Bays and levels stand in the order of their names, level 1 at the floor. */
export const ROW_MOUTHS = ['lowest-bay', 'highest-bay', 'both-ends', 'every-bay'] as const;
/** Nominal litres of the largest cask that a place takes; null when any that the estate has will do. */
const largestCaskLitres = z.number().positive().max(5000, 'must be at most 5000 L').nullable();
/**
 * How the casks of a zone are stowed. `racked`: each place is reached alone. `dunnage`: casks lie in lines on rails, tier
 * on tier, a line for each slot, and come out at the row's mouth. `palletised`: upright, the slots of a bay and level on
 * one pallet, pallet on pallet.
 */
export const Stow = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('racked'), largestCaskLitres }),
  z.strictObject({
    kind: z.enum(['dunnage', 'palletised']),
    mouth: z.enum(ROW_MOUTHS),
    largestCaskLitres,
  }),
]);
export type Stow = z.infer<typeof Stow>;

export const Zone = z.strictObject({
  id: Id,
  storeId: Id,
  code: Code,
  name: Name,
  floor: z.int(),
  /** Null until somebody has described it. */
  stow: Stow.nullable(),
  lastEntryId,
});
export type Zone = z.infer<typeof Zone>;

export const Position = z.strictObject({
  id: Id,
  storeId: Id,
  zoneId: Id,
  /** Barcode text of the position's label. */
  code: Code,
  row: z.string(),
  bay: z.string(),
  level: z.string(),
  slot: z.string(),
  capacity: z.int().min(1),
  /** Place in the store's walking order; lists and pick lists are sorted by it. */
  walkOrder: z.int(),
  occupied: z.int().min(0),
  lastEntryId,
});
export type Position = z.infer<typeof Position>;

/** A position without its bookkeeping: what a device keeps, and what a place is known by. */
export const Place = Position.pick({
  id: true,
  zoneId: true,
  code: true,
  row: true,
  bay: true,
  level: true,
  slot: true,
  capacity: true,
  walkOrder: true,
});
export type Place = z.infer<typeof Place>;

export const Account = z.strictObject({
  id: Id,
  code: Code,
  name: Name,
  kind: z.enum(['own', 'customer']),
  remark: Remark.nullable(),
  lastEntryId,
});
export type Account = z.infer<typeof Account>;

// ---- lineage ------------------------------------------------------------------------------------------------
/** Facts corrected since they were recorded, each with when the correction that stands was made. */
const corrected = z.record(z.string(), Instant);

export const Plot = z.strictObject({
  id: Id,
  code: Code,
  name: Name,
  areaHa: z.number().positive().max(100_000),
  soil: Remark.nullable(),
  crop: Name,
  variety: Name,
  plantedYear: z.int().min(1800).max(2200).nullable(),
  corrected,
  lastEntryId,
});
export type Plot = z.infer<typeof Plot>;

export const HarvestLot = z.strictObject({
  id: Id,
  code: Code,
  plotId: Id,
  harvestedOn: CalendarDate,
  massKg: z.number().positive().max(1e8),
  /** Fermentable sugar (or sugar equivalent of the starch), % by mass of the raw material. */
  sugarPercentMass: z.number().min(0).max(100),
  corrected,
  lastEntryId,
});
export type HarvestLot = z.infer<typeof HarvestLot>;

export const Ferment = z.strictObject({
  id: Id,
  code: Code,
  vessel: Name,
  yeast: Name,
  startedOn: CalendarDate,
  endedOn: CalendarDate,
  inputs: z.array(z.strictObject({ harvestLotId: Id, massKg: z.number().positive() })).min(1),
  bulkLitresAt20C: z.number().positive(),
  strengthPercentVol: StrengthPercentVol,
  corrected,
  lastEntryId,
});
export type Ferment = z.infer<typeof Ferment>;

export const StillRun = z.strictObject({
  id: Id,
  code: Code,
  still: Name,
  ranOn: CalendarDate,
  inputs: z.array(z.strictObject({ fermentId: Id, bulkLitresAt20C: z.number().positive() })).min(1),
  headsLitresAt20C: Litres,
  heartsLitresAt20C: z.number().positive(),
  heartsStrengthPercentVol: StrengthPercentVol,
  tailsLitresAt20C: Litres,
  corrected,
  lastEntryId,
});
export type StillRun = z.infer<typeof StillRun>;

/** Spirit of one run (or several, vatted on the day) kept apart. Shares are of ethanol and sum to 1. */
export const SpiritLot = z.strictObject({
  id: Id,
  code: Code,
  name: Name,
  inputs: z.array(z.strictObject({ stillRunId: Id, share: z.number().positive().max(1) })),
  harvestShares: z.record(Id, z.number()),
  plotShares: z.record(Id, z.number()),
  /** Ethanol taken into vats as this lot, receipts taken back not counted. */
  receivedMg: Milligrams,
  corrected,
  lastEntryId,
});
export type SpiritLot = z.infer<typeof SpiritLot>;

/**
 * Whether duty is still to be paid on a liquid. Suspended: it is in the duty-suspended ledger. Paid: it was released for
 * consumption, or received so; it is out of that ledger and kept apart.
 */
export const DUTY_STATUSES = ['suspended', 'paid'] as const;
export const DutyStatus = z.enum(DUTY_STATUSES);
export type DutyStatus = z.infer<typeof DutyStatus>;

// ---- vessels ------------------------------------------------------------------------------------------------
export const Vat = z.strictObject({
  id: Id,
  code: Code,
  name: Name,
  storeId: Id,
  accountId: Id,
  capacityLitres: z.number().positive(),
  /** Given for good when the vat is set up: what is suspended and what is paid are not mixed. */
  dutyStatus: DutyStatus,
  content: Content,
  /** Book figures of the content, from its masses. */
  figures: LiquidFigures,
  /** Days in oak of the youngest part, up to its disgorging; null while no oak-aged spirit is in it. */
  agedDays: z.number().min(0).nullable(),
  lastEntryId,
});
export type Vat = z.infer<typeof Vat>;

export const CASK_CONDITIONS = ['sound', 'suspect', 'leaking', 'under-repair'] as const;
export const CASK_FIGURES = ['spheroid', 'parabolic-spindle', 'paraboloid', 'cone'] as const;
export const CaskGeometry = z.strictObject({
  /** How the staves run from bilge to head: a classical figure, or one fitted to a measured fill. */
  figure: z.union([
    z.enum(CASK_FIGURES),
    z.strictObject({
      fullness: z.number().min(0.02, 'must be at least 0.02').max(50, 'must be at most 50'),
    }),
  ]),
  bilgeDiameterMm: z.number().positive().max(5000),
  headDiameterMm: z.number().positive().max(5000),
  lengthMm: z.number().positive().max(5000),
  /** Whether the three lengths were measured on this cask or taken from its kind. */
  basis: z.enum(['measured', 'assumed']),
});
export type CaskGeometry = z.infer<typeof CaskGeometry>;

export const Cooperage = z.strictObject({
  kind: Name,
  nominalLitres: z.number().positive().max(5000),
  woodSpecies: Name,
  forest: Name.nullable(),
  seasoningMonths: z.int().min(0).max(240).nullable(),
  toast: Name.nullable(),
  char: Name.nullable(),
  previousContents: Name,
  cooper: Name.nullable(),
  cooperLot: Name.nullable(),
});
export type Cooperage = z.infer<typeof Cooperage>;

export const Cask = z.strictObject({
  id: Id,
  code: Code,
  cooperage: Cooperage,
  geometry: CaskGeometry,
  /** Brim-full litres; null where only the geometry says. */
  capacityLitres: z.number().positive().nullable(),
  tareKg: z.number().positive().nullable(),
  /** GS1 Global Individual Asset Identifier (8004), when the estate has a company prefix. */
  giai: z.string().nullable(),
  /** Other codes on the wood: cooper's number, owner's number, an older label. */
  aliases: z.array(z.string()),
  /** Fillings with spirit before the estate had the cask. */
  earlierFillings: z.int().min(0),
  fillingsHere: z.int().min(0),
  status: z.enum(['empty', 'filled', 'retired']),
  condition: z.enum(CASK_CONDITIONS),
  /** When the inspection happened that says so; null before the first. */
  conditionSince: Instant.nullable(),
  storeId: Id.nullable(),
  zoneId: Id.nullable(),
  positionId: Id.nullable(),
  /** When the cask came to its position, and by which entry: a late older move does not undo a newer one. */
  positionSince: Instant.nullable(),
  fillingId: Id.nullable(),
  lastEntryId,
});
export type Cask = z.infer<typeof Cask>;

export const Filling = z.strictObject({
  id: Id,
  /** Lineage ID: cask code, filling number, e.g. C0001A7-1. */
  code: Code,
  caskId: Id,
  caskCode: Code,
  fillNumber: z.int().min(1),
  accountId: Id,
  storeId: Id.nullable(),
  zoneId: Id.nullable(),
  /** Wood facts, copied so that lists can filter without a join. */
  caskKind: z.string(),
  woodSpecies: z.string(),
  previousContents: z.string(),
  nominalLitres: z.number(),
  filledAt: Instant,
  /** Date from which the youngest part has lain in oak. */
  agedFrom: Instant,
  /** Days in oak the youngest part brought from an earlier filling. */
  agedDaysBefore: z.number().min(0),
  parentFillingId: Id.nullable(),
  fillMethod: z.string(),
  fillFigures: LiquidFigures,
  fillUncertainties: FigureUncertainties,
  content: Content,
  /** Share of the ethanol by spirit lot, sums to 1; kept when the filling is emptied. */
  lotShares: z.record(Id, z.number()),
  /** Book figures: last gauge less what was drawn since. */
  figures: LiquidFigures,
  lastGaugedAt: Instant,
  gaugeCount: z.int().min(0),
  status: z.enum(['maturing', 'emptied']),
  emptiedAt: Instant.nullable(),
  holdReason: z.string().nullable(),
  dutyStatus: DutyStatus,
  reservedByPlanId: Id.nullable(),
  suspicion: z.enum(['none', 'possible-leak', 'possible-blunder']),
  lastEntryId,
});
export type Filling = z.infer<typeof Filling>;

export const ExpectedFigures = z.strictObject({
  bulkLitresAt20C: z.number(),
  strengthPercentVol: z.number(),
  litresPureAlcohol: z.number(),
  low90: LiquidFigures,
  high90: LiquidFigures,
  /** Which calibration made the forecast. */
  calibrationId: z.string(),
});
export type ExpectedFigures = z.infer<typeof ExpectedFigures>;

/** How sure a suspicion is and, for a leak, between which days it began. */
export const Surety = z.strictObject({
  probability: z.number().min(0).max(1),
  since: z
    .strictObject({ from: CalendarDate, to: CalendarDate, likeliest: CalendarDate })
    .nullable(),
});
export type Surety = z.infer<typeof Surety>;

/**
 * A keeper's word on a gauge: the reading is right and the cask leaks or has leaked; right, and nothing is the matter;
 * wrong, and nothing is to be learnt from it; or in doubt until the cask has been gauged again.
 */
export const KEEPER_VERDICTS = ['leak', 'confirmed', 'dismissed', 'regauge'] as const;

export const GaugeVerdict = z.enum([
  'as-expected',
  'possible-leak',
  'possible-blunder',
  'no-forecast',
]);
export const Gauge = z.strictObject({
  id: Id,
  fillingId: Id,
  caskId: Id,
  takenAt: Instant,
  method: z.string(),
  readings: GaugeReadings,
  figures: LiquidFigures,
  uncertainties: FigureUncertainties,
  /** What the book said just before, litres of pure alcohol and so on. */
  bookBefore: LiquidFigures,
  /** True if a later gauge had already been booked: then this one is kept as a measurement only. */
  late: z.boolean(),
  expected: ExpectedFigures.nullable(),
  verdict: GaugeVerdict,
  /** With a verdict that is a suspicion. */
  surety: Surety.optional(),
  keeperVerdict: z.enum(KEEPER_VERDICTS).nullable(),
  lastEntryId,
});
export type Gauge = z.infer<typeof Gauge>;

/** What happened to a filling between gauges, for the forecast and the picture. */
export const FillingEvent = z.strictObject({
  id: z.string(),
  fillingId: Id,
  at: Instant,
  kind: z.enum([
    'filled',
    'sample',
    'top-up',
    'moved',
    're-racked',
    'leak-found',
    'repaired',
    'part-drawn',
    'emptied',
  ]),
  bulkLitresAt20C: z.number().nullable(),
  strengthPercentVol: z.number().nullable(),
  zoneId: Id.nullable(),
  lastEntryId,
});
export type FillingEvent = z.infer<typeof FillingEvent>;

export const Sample = z.strictObject({
  id: Id,
  code: Code,
  fillingId: Id,
  caskId: Id,
  takenAt: Instant,
  bulkLitresAt20C: z.number(),
  strengthPercentVol: z.number(),
  purpose: Name,
  lastEntryId,
});
export type Sample = z.infer<typeof Sample>;

/** What a laboratory measured or a panel found in a filling's liquid. */
export const CaskResult = z.strictObject({
  id: Id,
  fillingId: Id,
  caskId: Id,
  at: Instant,
  kind: z.enum(['laboratory', 'sensory']),
  /** What was measured or scored, in the site's own words: total phenols, vanilla. */
  measure: Name,
  value: z.number(),
  /** mg/L, points of 10 and so on. */
  unit: z.string().trim().min(1).max(30),
  remark: Remark.nullable(),
  lastEntryId,
});
export type CaskResult = z.infer<typeof CaskResult>;

// ---- alcohol account ----------------------------------------------------------------------------------------
export const POSTING_CAUSES = [
  'received',
  'filled',
  'disgorged',
  're-racked',
  'topped-up',
  'transferred',
  'gauge-difference',
  'filling-difference',
  'vat-difference',
  'sample',
  'delivered',
  'released',
  'bottled',
  'bottling-loss',
  'destroyed',
  'ownership',
] as const;
/**
 * One signed line of the ledger, in milligrams of ethanol. Never edited; a reversal adds its negative. The alcohol account is
 * the lines under suspension; those of duty-paid spirit say what became of it, and are in no account.
 */
export const Posting = z.strictObject({
  id: z.string(),
  entryId: Id,
  at: Instant,
  /** The month it counts in: that of `at`, or the first open one where that is closed. */
  month: Month,
  accountId: Id,
  storeId: Id.nullable(),
  vesselKind: z.enum(['vat', 'cask']),
  vesselId: Id,
  fillingId: Id.nullable(),
  cause: z.enum(POSTING_CAUSES),
  dutyStatus: DutyStatus,
  ethanolMg: z.int(),
  lastEntryId,
});
export type Posting = z.infer<typeof Posting>;

/** One account in one store over a month, in whole milligrams of ethanol: opening + movements = closing. */
export const ClosedLine = z.strictObject({
  accountId: Id,
  storeId: Id.nullable(),
  openingMg: z.int(),
  movements: z.array(
    z.strictObject({
      cause: z.enum(POSTING_CAUSES),
      ethanolMg: z.int(),
      /** The part that happened in earlier months, which were closed when it came. */
      ofEarlierMonthsMg: z.int(),
    }),
  ),
  closingMg: z.int(),
});
export type ClosedLine = z.infer<typeof ClosedLine>;

/** A month as it was closed. No line is added to it afterwards. */
export const MonthClose = z.strictObject({
  id: Month,
  closedAt: Instant,
  closedBy: z.string(),
  lines: z.array(ClosedLine),
  /** The journal's last entry before the close, and its hash. */
  journalSeq: z.int(),
  journalHash: z.string(),
  lastEntryId,
});
export type MonthClose = z.infer<typeof MonthClose>;

/** How far the account is closed; there is one record of it, or none while every month is open. */
export const AccountLock = z.strictObject({
  id: z.literal('account'),
  through: Month,
  lastEntryId,
});
export type AccountLock = z.infer<typeof AccountLock>;

// ---- stock-take ---------------------------------------------------------------------------------------------
export const StocktakeScope = z.strictObject({
  storeId: Id,
  zoneIds: z.array(Id),
  rows: z.array(z.string()),
  /** Only casks whose filling belongs to one of these accounts; left out means everybody's, empty casks too. */
  accountIds: z.array(Id).min(1).optional(),
  /** So many casks of the scope, drawn at random by the seed; left out means all of them. */
  sample: z
    .strictObject({ casks: z.int().min(1).max(100_000), seed: z.string().min(1).max(60) })
    .optional(),
});
export type StocktakeScope = z.infer<typeof StocktakeScope>;

export const Stocktake = z.strictObject({
  id: Id,
  code: Code,
  title: Name,
  scope: StocktakeScope,
  /** Blind: the counter isn't shown what is expected. */
  blind: z.boolean(),
  status: z.enum(['open', 'reconciled', 'signed', 'abandoned']),
  openedAt: Instant,
  openedBy: z.string(),
  /** Casks in the scope when the count was opened; a sample was drawn from these. */
  population: z.int().min(0),
  reconciledBy: z.string().nullable(),
  signedBy: z.string().nullable(),
  signedAt: Instant.nullable(),
  /** What the second person signed, or why the count was given up. */
  statement: z.string().nullable(),
  lastEntryId,
});
export type Stocktake = z.infer<typeof Stocktake>;

/** `left`: not seen, and by the book it went out of the count's scope, or out of use, while the count ran. */
export const STOCKTAKE_STATES = [
  'expected',
  'found',
  'misplaced',
  'missing',
  'unknown',
  'left',
] as const;
export const StocktakeLine = z.strictObject({
  id: z.string(),
  stocktakeId: Id,
  /** Null for a code no cask answers to. */
  caskId: Id.nullable(),
  code: z.string(),
  expectedPositionId: Id.nullable(),
  /** Where the latest count that named a place found it, and when. */
  foundPositionId: Id.nullable(),
  foundAt: Instant.nullable(),
  state: z.enum(STOCKTAKE_STATES),
  /** Counts before a recount was asked for; more than one means that it was counted twice. */
  timesCounted: z.int().min(0),
  recountAskedAt: Instant.nullable(),
  recounts: z.int().min(0),
  counters: z.array(z.string()),
  firstCountedAt: Instant.nullable(),
  damagedLabel: z.boolean(),
  /** Where the book had the cask since the count was opened, other than at first; oldest first. */
  bookMoves: z.array(
    z.strictObject({ at: Instant, positionId: Id.nullable(), inScope: z.boolean() }),
  ),
  resolution: z.string().nullable(),
  lastEntryId,
});
export type StocktakeLine = z.infer<typeof StocktakeLine>;

// ---- blends -------------------------------------------------------------------------------------------------
export const PlannedPart = z.strictObject({
  fillingId: Id,
  caskId: Id,
  caskCode: Code,
  bulkLitresAt20C: z.number(),
  strengthPercentVol: z.number(),
  whole: z.boolean(),
});
export type PlannedPart = z.infer<typeof PlannedPart>;
export const BlendPlanRecord = z.strictObject({
  id: Id,
  code: Code,
  name: Name,
  status: z.enum(['saved', 'reserved', 'drawing', 'vatted', 'cancelled']),
  blendOn: CalendarDate,
  targetLitresAt20C: z.number(),
  targetStrengthPercentVol: z.number(),
  /** The wishes as asked and the answer as given, kept whole for the record. */
  request: z.record(z.string(), z.unknown()),
  answer: z.record(z.string(), z.unknown()),
  parts: z.array(PlannedPart),
  waterLitresAt20C: z.number(),
  /** Fillings drawn so far, with the ethanol each gave. */
  drawn: z.array(z.strictObject({ fillingId: Id, ethanolMg: Milligrams })),
  /** Fillings whose casks were scanned out for it; absent until the first. */
  out: z.array(z.strictObject({ fillingId: Id, at: Instant })).optional(),
  vatId: Id.nullable(),
  blendId: Id.nullable(),
  createdBy: z.string(),
  createdAt: Instant,
  lastEntryId,
});
export type BlendPlanRecord = z.infer<typeof BlendPlanRecord>;

export const Blend = z.strictObject({
  id: Id,
  code: Code,
  name: Name,
  planId: Id.nullable(),
  vatId: Id,
  madeAt: Instant,
  figures: LiquidFigures,
  /** Share of ethanol mass by spirit lot; sums to 1. */
  lotShares: z.record(Id, z.number()),
  plotShares: z.record(Id, z.number()),
  fillings: z.array(
    z.strictObject({ fillingId: Id, caskId: Id, caskCode: Code, ethanolShare: z.number() }),
  ),
  lastEntryId,
});
export type Blend = z.infer<typeof Blend>;

// ---- climate, labels, held acts, settings ---------------------------------------------------------------------
export const ClimateImport = z.strictObject({
  id: Id,
  zoneId: Id,
  logger: z.string(),
  contentSha256: z.string(),
  rowCount: z.int(),
  rejectedCount: z.int(),
  firstAt: Instant,
  lastAt: Instant,
  lastEntryId,
});
export type ClimateImport = z.infer<typeof ClimateImport>;

const trim = (most: number) =>
  z
    .number()
    .min(-most, `must be at least -${String(most)} mm`)
    .max(most, `must be at most ${String(most)} mm`);
/** What is known of a printer. Millimetres as measured on its own test sheet. */
export const PRINTER_FACTS = {
  name: Name,
  medium: z.enum(['roll', 'sheet']),
  /** Stock and ribbon that are in it, in the site's own words. */
  stock: Name.nullable(),
  dpi: z.union([z.literal(203), z.literal(300), z.literal(600)]),
  /** Width that the print head reaches; null for printers of whole pages. */
  printableWidthMm: z.number().min(20).max(1000).nullable(),
  rightMm: trim(20),
  downMm: trim(20),
  /** Added to each pitch of a sheet, for rows that drift. */
  pitchAcrossMm: trim(2),
  pitchDownMm: trim(2),
  inUse: z.boolean(),
};

/** What can have a label. */
export const LABEL_SUBJECTS = ['cask', 'position', 'sample', 'vat', 'bottling-run'] as const;
export const LabelPrint = z.strictObject({
  id: z.string(),
  subjectKind: z.enum(LABEL_SUBJECTS),
  subjectId: Id,
  templateId: z.string(),
  reason: z.string().nullable(),
  copies: z.int(),
  at: Instant,
  lastEntryId,
});
export type LabelPrint = z.infer<typeof LabelPrint>;

/** A label printed before there is a cask for it; its code is taken from then on. */
export const SpareLabel = z.strictObject({
  id: z.string(),
  code: Code,
  templateId: z.string(),
  at: Instant,
  lastEntryId,
});
export type SpareLabel = z.infer<typeof SpareLabel>;

/** A label template of the site's own, as saved; null once it was taken out of use. */
export const LabelTemplateRecord = z.strictObject({
  id: z.string(),
  template: z.record(z.string(), z.unknown()).nullable(),
  lastEntryId,
});
export type LabelTemplateRecord = z.infer<typeof LabelTemplateRecord>;

/** A printer and how its output is to be moved so that it lies right on the stock. */
export const Printer = z.strictObject({ id: Id, ...PRINTER_FACTS, lastEntryId });
export type Printer = z.infer<typeof Printer>;

/** An act that arrived but could not be applied: kept whole, with the reason, until a keeper settles it. */
export const HeldAct = z.strictObject({
  id: Id,
  act: z.record(z.string(), z.unknown()),
  problem: z.looseObject({ code: z.string(), message: z.string() }),
  actorId: z.string(),
  receivedAt: Instant,
  status: z.enum(['open', 'applied', 'discarded']),
  settledBy: z.string().nullable(),
  resolution: z.string().nullable(),
  lastEntryId,
});
export type HeldAct = z.infer<typeof HeldAct>;

export const Setting = z.strictObject({
  id: z.string(),
  value: z.unknown(),
  effectiveFrom: CalendarDate,
  lastEntryId,
});
export type Setting = z.infer<typeof Setting>;

/** A public key the program signs with, or has signed with. */
export const SigningKey = z.strictObject({
  /** RFC 7638 thumbprint. */
  id: z.string(),
  x: z.string(),
  announcedAt: Instant,
  follows: z.string().nullable(),
  endorsement: z.string().nullable(),
  /** When another took over; what it signed before stands. */
  retiredAt: Instant.nullable(),
  lastEntryId,
});
export type SigningKey = z.infer<typeof SigningKey>;

/** A signed remark of how the journal stood. */
export const Checkpoint = z.strictObject({
  id: Id,
  /** The last entry it covers, and its hash. */
  seq: z.int(),
  hash: z.string(),
  at: Instant,
  keyId: z.string(),
  /** The signed text itself, a compact JWS. */
  statement: z.string(),
  lastEntryId,
});
export type Checkpoint = z.infer<typeof Checkpoint>;

export const BottlingRun = z.strictObject({
  id: Id,
  code: Code,
  name: Name,
  vatId: Id,
  blendId: Id.nullable(),
  at: Instant,
  /** What was drawn from the vat. */
  figures: LiquidFigures,
  bottles: z.int(),
  bottleMl: z.number(),
  labelStrengthPercentVol: z.number(),
  lossLitresAt20C: z.number(),
  gtin: z.string().nullable(),
  lotShares: z.record(Id, z.number()),
  plotShares: z.record(Id, z.number()),
  fillings: z.array(z.strictObject({ fillingId: Id, ethanolShare: z.number() })),
  /** What is published of it: a compact JWS; null while nothing is. */
  statement: z.string().nullable(),
  lastEntryId,
});
export type BottlingRun = z.infer<typeof BottlingRun>;

/** Every record kind the journal folds into, by its name. */
export const RECORDS = {
  store: Store,
  zone: Zone,
  position: Position,
  account: Account,
  plot: Plot,
  'harvest-lot': HarvestLot,
  ferment: Ferment,
  'still-run': StillRun,
  'spirit-lot': SpiritLot,
  vat: Vat,
  cask: Cask,
  filling: Filling,
  gauge: Gauge,
  'filling-event': FillingEvent,
  sample: Sample,
  'cask-result': CaskResult,
  posting: Posting,
  'month-close': MonthClose,
  'account-lock': AccountLock,
  stocktake: Stocktake,
  'stocktake-line': StocktakeLine,
  'blend-plan': BlendPlanRecord,
  blend: Blend,
  'climate-import': ClimateImport,
  'label-print': LabelPrint,
  'spare-label': SpareLabel,
  'label-template': LabelTemplateRecord,
  printer: Printer,
  'held-act': HeldAct,
  setting: Setting,
  'signing-key': SigningKey,
  checkpoint: Checkpoint,
  'bottling-run': BottlingRun,
} as const;
export type RecordKind = keyof typeof RECORDS;
export type RecordOf<K extends RecordKind> = z.infer<(typeof RECORDS)[K]>;
export const RECORD_KINDS = Object.keys(RECORDS) as RecordKind[];
