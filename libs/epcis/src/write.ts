import type {
  ActKind,
  BodyOf,
  Content,
  JournalEntry,
  LiquidFigures,
  RecordKind,
} from '@rundlet/contracts';
import { CONTEXT, type EpcisEvent, type Quantity } from './events.ts';
import type { Identifiers } from './names.ts';

type Draft = EpcisEvent extends infer E
  ? E extends EpcisEvent
    ? Omit<E, 'eventTime' | 'eventTimeZoneOffset' | 'eventID' | 'recordTime'>
    : never
  : never;
interface Writing {
  readonly entry: JournalEntry;
  readonly ids: Identifiers;
}
type Write<K extends ActKind> = (body: BodyOf<K>, outcome: never, w: Writing) => Draft[];
type Figured = { readonly figures: LiquidFigures };

/** Prefix of the estate's own words in extension fields; the schema takes none without. */
export const PREFIX = 'rundlet';
const own = (facts: Readonly<Record<string, unknown>>): Record<string, unknown> =>
  Object.fromEntries(
    Object.entries(facts)
      .filter(([, value]) => value !== null && value !== undefined)
      .map(([name, value]) => [`${PREFIX}:${name}`, value]),
  );
const step = (word: string): string => `${PREFIX}:${word}`;

/** Volume and strength at 20 °C; GS1 has no quantity called alcohol by volume, a fraction of volume in VP says the same. */
const measured = ({ bulkLitresAt20C, strengthPercentVol }: LiquidFigures) => ({
  sensorElementList: [
    {
      sensorReport: [
        { type: 'Volume', value: bulkLitresAt20C, uom: 'LTR' },
        { type: 'VolumeFraction', value: strengthPercentVol, uom: 'VP' },
      ],
    },
  ],
});
const litres = (epcClass: string, quantity: number): Quantity => ({
  epcClass,
  quantity,
  uom: 'LTR',
});

/** A liquid's spirit lots, each with its part of the litres by its share of the ethanol. */
function lotsOf(content: Content, bulkLitres: number, ids: Identifiers): Quantity[] {
  const all = Object.entries(content.ethanolMgByLot);
  const total = all.reduce((sum, [, mg]) => sum + mg, 0);
  return all.map(([lot, mg]) => litres(ids.of('spirit-lot', lot), (bulkLitres * mg) / total));
}

/** A cask is put into a place of the rack, or taken out of it. */
const inPlace = (
  caskId: string,
  positionId: string,
  action: 'ADD' | 'DELETE',
  ids: Identifiers,
): Draft => ({
  type: 'AggregationEvent',
  action,
  parentID: ids.of('position', positionId),
  childEPCs: [ids.of('cask', caskId)],
  bizStep: 'storing',
});
/** What lies in a cask is tied to the wood, or freed from it. */
const inWood = (
  caskId: string,
  filling: string,
  action: 'ADD' | 'DELETE',
  ids: Identifiers,
): Draft => ({
  type: 'AssociationEvent',
  action,
  parentID: ids.of('cask', caskId),
  childEPCs: [filling],
  bizStep: step(action === 'ADD' ? 'filling' : 'emptying'),
  disposition: action === 'ADD' ? 'container_closed' : 'available',
});
const subject = (entry: JournalEntry, kind: RecordKind): string | null =>
  entry.subjects.find((s) => s.startsWith(`${kind}:`))?.slice(kind.length + 1) ?? null;
/** What lies in the cask an entry is about, by the filling it changed; the wood where it changed none. */
const contentsOf = ({ entry, ids }: Writing, caskId: string): string => {
  const filling = subject(entry, 'filling');
  return filling ? ids.of('filling', filling) : ids.of('cask', caskId);
};

const WRITERS: { readonly [K in ActKind]?: Write<K> } = {
  'harvest.record': (b, _, { ids }) => [
    {
      type: 'ObjectEvent',
      action: 'ADD',
      bizStep: 'commissioning',
      disposition: 'active',
      quantityList: [{ epcClass: ids.of('harvest-lot', b.id), quantity: b.massKg, uom: 'KGM' }],
      readPoint: { id: ids.of('plot', b.plotId) },
      ilmd: own({ harvestedOn: b.harvestedOn, sugarPercentMass: b.sugarPercentMass }),
    },
  ],
  'ferment.record': (b, _, { ids }) => [
    {
      type: 'TransformationEvent',
      bizStep: 'creating_class_instance',
      disposition: 'in_progress',
      inputQuantityList: b.inputs.map((i) => ({
        epcClass: ids.of('harvest-lot', i.harvestLotId),
        quantity: i.massKg,
        uom: 'KGM',
      })),
      outputQuantityList: [litres(ids.of('ferment', b.id), b.bulkLitresAt20C)],
      ilmd: own({ vessel: b.vessel, yeast: b.yeast, startedOn: b.startedOn, endedOn: b.endedOn }),
      ...measured({ ...b, litresPureAlcohol: 0 }),
    },
  ],
  'still-run.record': (b, _, { ids }) => [
    {
      type: 'TransformationEvent',
      bizStep: 'creating_class_instance',
      disposition: 'in_progress',
      inputQuantityList: b.inputs.map((i) =>
        litres(ids.of('ferment', i.fermentId), i.bulkLitresAt20C),
      ),
      outputQuantityList: [litres(ids.of('still-run', b.id), b.heartsLitresAt20C)],
      ilmd: own({
        still: b.still,
        ranOn: b.ranOn,
        headsLitresAt20C: b.headsLitresAt20C,
        tailsLitresAt20C: b.tailsLitresAt20C,
      }),
      ...measured({
        bulkLitresAt20C: b.heartsLitresAt20C,
        strengthPercentVol: b.heartsStrengthPercentVol,
        litresPureAlcohol: 0,
      }),
    },
  ],
  'spirit-lot.record': (b, _, { ids }) => {
    const lot = [{ epcClass: ids.of('spirit-lot', b.id) }];
    const ilmd = own({
      name: b.name,
      ...(b.inputs.length > 1 ? { shares: b.inputs.map((i) => i.share) } : {}),
    });
    return b.inputs.length === 0
      ? [{ type: 'ObjectEvent', action: 'ADD', bizStep: 'commissioning', quantityList: lot, ilmd }]
      : [
          {
            type: 'TransformationEvent',
            bizStep: 'creating_class_instance',
            inputQuantityList: b.inputs.map((i) => ({
              epcClass: ids.of('still-run', i.stillRunId),
            })),
            outputQuantityList: lot,
            ilmd,
          },
        ];
  },
  'spirit.receive': (b, o: Figured, { ids }) => [
    {
      type: 'ObjectEvent',
      action: 'OBSERVE',
      bizStep: 'receiving',
      disposition: 'in_progress',
      quantityList: [litres(ids.of('spirit-lot', b.lotId), o.figures.bulkLitresAt20C)],
      bizLocation: { id: ids.of('vat', b.vatId) },
      ...measured(o.figures),
    },
  ],
  'vat.reduce': (b, o: { after: LiquidFigures; before: LiquidFigures }, { ids }) => [
    {
      type: 'TransformationEvent',
      bizStep: step('reducing'),
      disposition: 'in_progress',
      inputQuantityList: [litres(ids.of('vat', b.vatId), o.before.bulkLitresAt20C)],
      outputQuantityList: [litres(ids.of('vat', b.vatId), o.after.bulkLitresAt20C)],
      ilmd: own({ waterLitres: b.waterLitres }),
      ...measured(o.after),
    },
  ],
  'vat.transfer': (b, o: Figured, { ids }) => [
    {
      type: 'TransformationEvent',
      bizStep: 'creating_class_instance',
      inputQuantityList: [litres(ids.of('vat', b.fromVatId), o.figures.bulkLitresAt20C)],
      outputQuantityList: [litres(ids.of('vat', b.toVatId), o.figures.bulkLitresAt20C)],
      ...measured(o.figures),
    },
  ],
  'vat.deliver': (b, o: Figured, { ids }) => [
    {
      type: 'ObjectEvent',
      action: 'OBSERVE',
      ...(b.kind === 'destroyed'
        ? { bizStep: 'destroying', disposition: 'destroyed' }
        : { bizStep: 'shipping', disposition: 'in_transit' }),
      quantityList: [litres(ids.of('vat', b.vatId), o.figures.bulkLitresAt20C)],
      ...measured(o.figures),
    },
  ],
  'bottling.record': (b, o: Figured, { ids }) => [
    {
      type: 'TransformationEvent',
      bizStep: 'commissioning',
      disposition: 'active',
      inputQuantityList: [litres(ids.of('vat', b.vatId), o.figures.bulkLitresAt20C)],
      outputQuantityList: [
        {
          epcClass:
            b.gtin === null
              ? ids.of('bottling-run', b.id)
              : `${ids.origin}/01/${b.gtin}/10/${encodeURIComponent(b.code)}`,
          quantity: b.bottles,
        },
      ],
      ilmd: own({ bottleMl: b.bottleMl, strengthPercentVol: b.labelStrengthPercentVol }),
    },
  ],
  'cask.register': (b, _, { ids }) => [
    {
      type: 'ObjectEvent',
      action: 'ADD',
      bizStep: 'commissioning',
      disposition: 'active',
      epcList: [ids.of('cask', b.id)],
      ilmd: own({
        kind: b.cooperage.kind,
        nominalLitres: b.cooperage.nominalLitres,
        woodSpecies: b.cooperage.woodSpecies,
        previousContents: b.cooperage.previousContents,
      }),
    },
    ...(b.positionId ? [inPlace(b.id, b.positionId, 'ADD', ids)] : []),
  ],
  'cask.fill': (b, o: Figured & { taken: Content; fillNumber: number }, { ids }) => {
    const filling = ids.of('filling', b.fillingId);
    return [
      {
        type: 'TransformationEvent',
        bizStep: 'creating_class_instance',
        disposition: 'in_progress',
        inputQuantityList: lotsOf(o.taken, o.figures.bulkLitresAt20C, ids),
        outputEPCList: [filling],
        ilmd: own({ fillNumber: o.fillNumber, fromVat: ids.of('vat', b.vatId) }),
        ...measured(o.figures),
      },
      inWood(b.caskId, filling, 'ADD', ids),
      ...(b.positionId ? [inPlace(b.caskId, b.positionId, 'ADD', ids)] : []),
    ];
  },
  'cask.gauge': (b, o: Figured & { verdict: string }, w) => [
    {
      type: 'ObjectEvent',
      action: 'OBSERVE',
      bizStep: 'inspecting',
      disposition: o.verdict.startsWith('possible') ? 'non_conformant' : 'conformant',
      epcList: [contentsOf(w, b.caskId)],
      ...measured(o.figures),
    },
  ],
  'cask.move': (b, o: { fromPositionId: string | null; superseded: boolean }, { ids }) =>
    o.superseded
      ? []
      : [
          ...(o.fromPositionId ? [inPlace(b.caskId, o.fromPositionId, 'DELETE', ids)] : []),
          inPlace(b.caskId, b.positionId, 'ADD', ids),
        ],
  'cask.top-up': (b, o: Figured, w) => {
    const filling = contentsOf(w, b.caskId);
    const { source } = b;
    return [
      {
        type: 'TransformationEvent',
        bizStep: step('topping-up'),
        inputEPCList: [
          ...new Set([
            filling,
            ...(source.kind === 'cask' ? [w.ids.of('cask', source.caskId)] : []),
          ]),
        ],
        ...(source.kind === 'vat'
          ? {
              inputQuantityList: [litres(w.ids.of('vat', source.vatId), o.figures.bulkLitresAt20C)],
            }
          : {}),
        outputEPCList: [filling],
        ilmd: own({ litres: o.figures.bulkLitresAt20C }),
      },
    ];
  },
  'cask.re-rack': (b, o: Figured, { entry, ids }) => {
    const to = ids.of('filling', b.fillingId);
    const before = entry.subjects
      .filter((s) => s.startsWith('filling:') && !s.endsWith(b.fillingId))
      .map((s) => ids.of('filling', s.slice('filling:'.length)));
    const from = before[0] ?? ids.of('cask', b.fromCaskId);
    return [
      {
        type: 'TransformationEvent',
        bizStep: 'creating_class_instance',
        inputEPCList: [from],
        outputEPCList: [to],
        ...measured(o.figures),
      },
      inWood(b.fromCaskId, from, 'DELETE', ids),
      inWood(b.toCaskId, to, 'ADD', ids),
    ];
  },
  // The word "sampling" would say that what was sampled is no longer viable: so it is the sample that is spoken of, not the cask.
  'cask.sample': (b, o: Figured, w) => [
    {
      type: 'ObjectEvent',
      action: 'ADD',
      bizStep: 'commissioning',
      epcList: [w.ids.of('sample', b.sampleId)],
      ilmd: own({ takenFrom: contentsOf(w, b.caskId), purpose: b.purpose }),
      ...measured(o.figures),
    },
  ],
  'cask.disgorge': (b, o: Figured & { wholeCask: boolean }, w) => {
    const filling = contentsOf(w, b.caskId);
    return [
      {
        type: 'TransformationEvent',
        bizStep: 'creating_class_instance',
        disposition: 'in_progress',
        inputEPCList: [filling],
        outputQuantityList: [litres(w.ids.of('vat', b.vatId), o.figures.bulkLitresAt20C)],
        ...measured(o.figures),
      },
      ...(o.wholeCask ? [inWood(b.caskId, filling, 'DELETE', w.ids)] : []),
    ];
  },
  'cask.inspect': (b, _, { ids }) => [
    {
      type: 'ObjectEvent',
      action: 'OBSERVE',
      bizStep: b.condition === 'under-repair' ? 'repairing' : 'inspecting',
      disposition: b.condition === 'sound' ? 'conformant' : 'damaged',
      epcList: [ids.of('cask', b.caskId)],
    },
  ],
  'cask.change-owner': (b, o: { fromAccountId: string }, w) => [
    {
      type: 'ObjectEvent',
      action: 'OBSERVE',
      epcList: [contentsOf(w, b.caskId)],
      sourceList: [{ type: 'owning_party', source: w.ids.of('account', o.fromAccountId) }],
      destinationList: [{ type: 'owning_party', destination: w.ids.of('account', b.accountId) }],
    },
  ],
  'cask.retire': (b, _, { ids }) => [
    {
      type: 'ObjectEvent',
      action: 'DELETE',
      bizStep: 'decommissioning',
      disposition: 'inactive',
      epcList: [ids.of('cask', b.caskId)],
    },
  ],
  'stocktake.count': (b, _, { ids }) =>
    b.caskId === null
      ? []
      : [
          {
            type: 'ObjectEvent',
            action: 'OBSERVE',
            bizStep: 'stock_taking',
            epcList: [ids.of('cask', b.caskId)],
            ...(b.positionId ? { readPoint: { id: ids.of('position', b.positionId) } } : {}),
          },
        ],
  'plan.complete': (b, o: Figured, { entry, ids }) => [
    {
      type: 'TransformationEvent',
      bizStep: 'creating_class_instance',
      disposition: 'in_progress',
      inputQuantityList: [{ epcClass: ids.of('vat', subject(entry, 'vat') ?? b.planId) }],
      outputQuantityList: [litres(ids.of('blend', b.blendId), o.figures.bulkLitresAt20C)],
      ...measured(o.figures),
    },
  ],
};

/** Kinds of entries that have events; the others (settings, plans, labels …) are the estate's own business. */
export const EVENT_KINDS = Object.keys(WRITERS) as ActKind[];

/** What is said of a step later: by which entry, and all that it says of the step. */
export interface Correction {
  readonly entryId: string;
  readonly receivedAt: string;
  readonly facts: Readonly<Record<string, unknown>>;
}
/** An entry, and what has become of it since. */
export interface Told {
  readonly entry: JournalEntry;
  readonly reversedAt: string | null;
  /** Oldest first; each says anew what the one before said wrongly. */
  readonly corrections: readonly Correction[];
}

/**
 * The events one entry comes to. As the standard wants it, what was wrong is told again with an error declaration: of what was
 * taken back that it did not occur, of what was corrected that its data were incorrect and which event says it rightly.
 */
export function eventsOf({ entry, reversedAt, corrections }: Told, ids: Identifiers): EpcisEvent[] {
  const write = WRITERS[entry.kind] as Write<ActKind> | undefined;
  const versions = [
    { entryId: entry.id, receivedAt: entry.receivedAt, facts: entry.body },
    ...corrections,
  ];
  return versions.flatMap(({ entryId, facts }, v) => {
    const drafts = write?.(facts as never, entry.outcome as never, { entry, ids }) ?? [];
    const next = versions[v + 1];
    return drafts.map((draft, n) => {
      const error = next
        ? {
            declarationTime: next.receivedAt,
            reason: 'incorrect_data',
            correctiveEventIDs: [ids.event(next.entryId, n + 1)],
          }
        : reversedAt === null
          ? null
          : { declarationTime: reversedAt, reason: 'did_not_occur' };
      return {
        eventID: ids.event(entryId, n + 1),
        eventTime: entry.happenedAt,
        eventTimeZoneOffset: '+00:00',
        ...draft,
        ...(error === null ? {} : { errorDeclaration: error }),
      } as EpcisEvent;
    });
  });
}

/** Events as one document. */
export function documentOf(
  events: readonly EpcisEvent[],
  ids: Identifiers,
  createdAt: string,
): object {
  return {
    '@context': [CONTEXT, { [PREFIX]: ids.vocabulary }],
    type: 'EPCISDocument',
    schemaVersion: '2.0',
    creationDate: createdAt,
    epcisBody: { eventList: events },
  };
}
