import { z } from 'zod';
import { Act, JournalEntry } from '../acts.ts';
import { Attachment } from '../attachments.ts';
import { ById, endpoint, PageQuery, pageOf } from '../endpoint.ts';
import { Id, Instant } from '../primitives.ts';
import { Problem } from '../problem.ts';
import { Checkpoint, HeldAct, SigningKey } from '../records.ts';

/** How one sent act ended. `held` means: kept, not applied, waiting for a keeper. */
export const ActResult = z.strictObject({
  id: Id,
  status: z.enum(['applied', 'already-applied', 'held', 'refused']),
  entry: JournalEntry.nullable(),
  problem: Problem.nullable(),
});
export type ActResult = z.infer<typeof ActResult>;

/** A journal entry told in words, for people. */
export const HistoryLine = z.strictObject({
  seq: z.int(),
  id: Id,
  kind: z.string(),
  happenedAt: Instant,
  receivedAt: Instant,
  actorName: z.string(),
  words: z.string(),
  attachments: z.array(Attachment),
  reversedBy: Id.nullable(),
  reversible: z.boolean(),
});
export type HistoryLine = z.infer<typeof HistoryLine>;

/** A held act with both versions: what came from the device, and what the books say of the same things. */
export const HeldView = z.strictObject({
  held: HeldAct,
  person: z.string(),
  device: z.string().nullable(),
  /** What the device says was done. */
  sentence: z.string(),
  /** What the books say now. */
  book: z.array(z.string()),
  /** The newest entries about the same cask and place. */
  beside: z.array(HistoryLine),
  /** Why it could still not be applied; null when it could be now. */
  refusalNow: z.string().nullable(),
});
export type HeldView = z.infer<typeof HeldView>;

export const VerifyReport = z.strictObject({
  entries: z.int(),
  records: z.int(),
  ok: z.boolean(),
  lastHash: z.string(),
  /** First failures found, each naming the entry or record. */
  failures: z.array(
    z.strictObject({
      what: z.string(),
      entrySeq: z.int().nullable(),
      entryId: z.string().nullable(),
      record: z.string().nullable(),
    }),
  ),
  /** Attachments that entries name, and whose bytes were looked at. */
  attachments: z.int(),
  conservation: z.strictObject({
    ethanolInMg: z.number(),
    ethanolHeldMg: z.number(),
    ethanolOutMg: z.number(),
    differenceMg: z.number(),
    waterInMg: z.number(),
    waterHeldMg: z.number(),
    waterOutMg: z.number(),
    waterDifferenceMg: z.number(),
  }),
  /** Signed checkpoints checked, those kept in the journal and those brought along. */
  checkpoints: z.strictObject({
    kept: z.int(),
    brought: z.int(),
    lastSeq: z.int().nullable(),
    /** Thumbprints of the keys that signed them, to be compared with what was noted on paper. */
    keyIds: z.array(z.string()),
  }),
});
export type VerifyReport = z.infer<typeof VerifyReport>;

export const journalApi = {
  submit: endpoint({
    method: 'POST',
    path: '/api/acts',
    summary: 'Do one act; refused acts change nothing',
    access: 'signed-in',
    body: Act,
    response: ActResult,
  }),
  submitMany: endpoint({
    method: 'POST',
    path: '/api/acts/batch',
    summary: 'Send several acts in order; each is applied, held or refused on its own',
    access: 'signed-in',
    body: z.strictObject({ acts: z.array(z.unknown()).min(1).max(1000) }),
    response: z.strictObject({ results: z.array(ActResult) }),
  }),
  rehearse: endpoint({
    method: 'POST',
    path: '/api/acts/rehearsal',
    summary: 'Say what an act would come to, and change nothing',
    access: 'signed-in',
    body: Act,
    response: z.strictObject({ outcome: z.record(z.string(), z.unknown()) }),
  }),
  list: endpoint({
    method: 'GET',
    path: '/api/journal',
    summary: 'The journal, newest first',
    access: 'read',
    query: z.strictObject({
      ...PageQuery,
      subject: z.string().max(80).optional(),
      kind: z.string().max(40).optional(),
    }),
    response: pageOf(HistoryLine),
  }),
  entry: endpoint({
    method: 'GET',
    path: '/api/journal/:id',
    summary: 'One entry, whole',
    access: 'read',
    params: ById,
    response: JournalEntry,
  }),
  verify: endpoint({
    method: 'POST',
    path: '/api/journal/verification',
    summary: 'Check chain, conservation and every state record against the fold (a job)',
    access: 'keep',
    body: z.strictObject({
      /** Signed checkpoints kept outside (printed, mailed): each must fit the journal as it is now. */
      checkpoints: z.array(z.string().max(20_000)).max(1000).default([]),
    }),
    response: z.strictObject({ jobId: Id }),
  }),
  checkpoints: endpoint({
    method: 'GET',
    path: '/api/checkpoints',
    summary: 'Signed checkpoints of the journal, newest first',
    access: 'read',
    query: z.strictObject(PageQuery),
    response: pageOf(Checkpoint),
  }),
  signCheckpoint: endpoint({
    method: 'POST',
    path: '/api/checkpoints',
    summary: 'Sign a checkpoint of the journal as it stands now',
    access: 'keep',
    response: Checkpoint,
  }),
  checkpointLetter: endpoint({
    method: 'GET',
    path: '/api/checkpoints/:id/letter',
    summary: 'A checkpoint as text to print or mail',
    access: 'read',
    params: ById,
    response: z.unknown(),
    file: 'text/plain; charset=utf-8',
  }),
  checkpointCode: endpoint({
    method: 'GET',
    path: '/api/checkpoints/:id/code',
    summary: 'A checkpoint’s signed text as a QR code',
    access: 'read',
    params: ById,
    response: z.unknown(),
    file: 'image/svg+xml',
  }),
  keys: endpoint({
    method: 'GET',
    path: '/api/public-keys',
    summary: 'The public keys that statements and checkpoints are signed with, newest first',
    access: 'public',
    response: z.strictObject({ rows: z.array(SigningKey) }),
  }),
  changeKey: endpoint({
    method: 'POST',
    path: '/api/signing-key/change',
    summary: 'Begin to sign with a new key; the old one endorses it',
    access: 'administer',
    response: SigningKey,
  }),
  held: endpoint({
    method: 'GET',
    path: '/api/held-acts',
    summary: 'Acts that could not be applied and wait for a keeper',
    access: 'read',
    query: z.strictObject({
      ...PageQuery,
      status: z.enum(['open', 'applied', 'discarded']).default('open'),
    }),
    response: pageOf(HeldView),
  }),
};
