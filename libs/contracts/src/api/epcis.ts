import { z } from 'zod';
import { endpoint } from '../endpoint.ts';
import { CalendarDate, Id } from '../primitives.ts';

/** What became of the events of a document. Every event is in one of the three lists, by its place in the document. */
export const EpcisImportReport = z.strictObject({
  events: z.int(),
  /** What goes into the records. */
  taken: z.array(z.strictObject({ index: z.int(), kind: z.string(), makes: z.string() })),
  /** Brought before, or the estate's own. */
  known: z.array(z.strictObject({ index: z.int(), makes: z.string() })),
  /** Left out, with the reason. */
  left: z.array(z.strictObject({ index: z.int(), reason: z.string() })),
  /** Refused by the rules: then nothing of the document is applied. */
  refused: z.array(z.strictObject({ index: z.int(), reason: z.string() })),
  applied: z.boolean(),
});
export type EpcisImportReport = z.infer<typeof EpcisImportReport>;

export const epcisApi = {
  exportEvents: endpoint({
    method: 'GET',
    path: '/api/epcis',
    summary:
      'GS1 EPCIS 2.0 events (JSON-LD) of a cask, a blend or a period, with where its spirit came from',
    access: 'read',
    query: z.strictObject({
      caskId: Id.optional(),
      blendId: Id.optional(),
      from: CalendarDate.optional(),
      to: CalendarDate.optional(),
    }),
    response: z.unknown(),
    file: 'application/ld+json',
  }),
  importEvents: endpoint({
    method: 'POST',
    path: '/api/epcis/imports',
    summary: 'Take in EPCIS 2.0 events of a farm or still house; apply=false rehearses',
    access: 'keep',
    body: z.strictObject({ document: z.unknown(), apply: z.boolean() }),
    response: EpcisImportReport,
  }),
};
