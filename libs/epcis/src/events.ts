/** The part of GS1 EPCIS 2.0 (JSON-LD binding) that is written and read here. */
import { z } from 'zod';

/** EPCIS wants a scheme and something after it; what it names is the writer's business. */
const Uri = z.string().regex(/^[A-Za-z][A-Za-z0-9+.-]*:\S+$/, 'a URI is needed');
/** A time with its offset, as xsd:dateTimeStamp. */
const Time = z
  .string()
  .regex(
    /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)$/,
    'a time with an offset is needed, like 2026-03-01T09:30:00.000Z',
  );
const Offset = z.string().regex(/^[+-]\d\d:\d\d$/, 'an offset is needed, like +00:00');
const Place = z.looseObject({ id: Uri });

export const Quantity = z.strictObject({
  epcClass: Uri,
  quantity: z.number().optional(),
  /** UN/ECE Recommendation 20: LTR litre, KGM kilogram. */
  uom: z.string().optional(),
});
export type Quantity = z.infer<typeof Quantity>;

export const SensorReport = z.looseObject({
  type: z.string(),
  value: z.number().optional(),
  uom: z.string().optional(),
});
const SensorElement = z.looseObject({
  sensorMetadata: z.looseObject({}).optional(),
  sensorReport: z.array(SensorReport),
});

const common = {
  eventID: Uri.optional(),
  eventTime: Time,
  eventTimeZoneOffset: Offset,
  recordTime: Time.optional(),
  bizStep: z.string().optional(),
  disposition: z.string().optional(),
  readPoint: Place.optional(),
  bizLocation: Place.optional(),
  sensorElementList: z.array(SensorElement).optional(),
  errorDeclaration: z
    .looseObject({
      declarationTime: Time,
      reason: z.string().optional(),
      correctiveEventIDs: z.array(Uri).optional(),
    })
    .optional(),
};
const Action = z.enum(['ADD', 'OBSERVE', 'DELETE']);
const ilmd = z.record(z.string(), z.unknown()).optional();
const Epcs = z.array(Uri).optional();
const Quantities = z.array(Quantity).optional();

/** Fields that no event here needs (business documents, certificates, others' own) are kept as they came. */
export const EpcisEvent = z.discriminatedUnion('type', [
  z.looseObject({
    type: z.literal('ObjectEvent'),
    action: Action,
    epcList: Epcs,
    quantityList: Quantities,
    sourceList: z.array(z.looseObject({ type: z.string(), source: Uri })).optional(),
    destinationList: z.array(z.looseObject({ type: z.string(), destination: Uri })).optional(),
    ilmd,
    ...common,
  }),
  z.looseObject({
    type: z.literal('TransformationEvent'),
    transformationID: Uri.optional(),
    inputEPCList: Epcs,
    inputQuantityList: Quantities,
    outputEPCList: Epcs,
    outputQuantityList: Quantities,
    ilmd,
    ...common,
  }),
  ...(['AggregationEvent', 'AssociationEvent'] as const).map((type) =>
    z.looseObject({
      type: z.literal(type),
      action: Action,
      parentID: Uri.optional(),
      childEPCs: Epcs,
      childQuantityList: Quantities,
      ...common,
    }),
  ),
  z.looseObject({
    type: z.literal('TransactionEvent'),
    action: Action,
    bizTransactionList: z.array(z.looseObject({ bizTransaction: Uri })),
    epcList: Epcs,
    ...common,
  }),
] as const);
export type EpcisEvent = z.infer<typeof EpcisEvent>;

/** The remote context; its text is GS1's own and is not repeated here. */
export const CONTEXT = 'https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld';

export const EpcisDocument = z.looseObject({
  '@context': z.unknown(),
  type: z.literal('EPCISDocument'),
  schemaVersion: z.string().regex(/^2\.\d/, 'EPCIS 2.0 is read here'),
  creationDate: Time,
  epcisBody: z.looseObject({ eventList: z.array(z.unknown()) }),
});

/** What a query answers with: the same events, packed otherwise. */
export const EpcisQueryDocument = z.looseObject({
  type: z.literal('EPCISQueryDocument'),
  epcisBody: z.looseObject({
    queryResults: z.looseObject({
      resultsBody: z.looseObject({ eventList: z.array(z.unknown()) }),
    }),
  }),
});
