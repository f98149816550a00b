import { z } from 'zod';
import { ById, endpoint, PageQuery, pageOf } from '../endpoint.ts';
import { BottlingRun, SigningKey } from '../records.ts';

/** Signed facts whose records were corrected since, by which the statement would say otherwise today. */
const correctedSince = z.array(z.string());

export const bottlingsApi = {
  runs: endpoint({
    method: 'GET',
    path: '/api/bottlings',
    summary: 'Bottling runs, newest first',
    access: 'read',
    query: z.strictObject(PageQuery),
    response: pageOf(BottlingRun),
  }),
  run: endpoint({
    method: 'GET',
    path: '/api/bottlings/:id',
    summary: 'A bottling run, all that could be told of it, and its public address',
    access: 'read',
    params: ById,
    response: z.strictObject({
      run: BottlingRun,
      /** Every fact there is, as the statement would tell it. */
      story: z.record(z.string(), z.unknown()),
      address: z.string(),
      correctedSince,
    }),
  }),
  publish: endpoint({
    method: 'POST',
    path: '/api/bottlings/:id/publication',
    summary: 'Publish these facts of a run, signed; the others are said to be withheld',
    access: 'keep',
    params: ById,
    body: z.strictObject({ facts: z.array(z.string()).max(20) }),
    response: BottlingRun,
  }),
  code: endpoint({
    method: 'GET',
    path: '/api/bottlings/:id/code',
    summary: 'The public address as a QR code for the bottle’s label',
    access: 'read',
    params: ById,
    response: z.unknown(),
    file: 'image/svg+xml',
  }),
  told: endpoint({
    method: 'GET',
    path: '/api/public/bottlings/:code',
    summary: 'What is published of a run: the signed statement and the keys to check it with',
    access: 'public',
    params: z.strictObject({ code: z.string().max(40) }),
    response: z.strictObject({
      statement: z.string(),
      keys: z.array(SigningKey),
      correctedSince,
    }),
  }),
};
