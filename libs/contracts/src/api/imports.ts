import { z } from 'zod';
import { endpoint } from '../endpoint.ts';
import { Id } from '../primitives.ts';

export const ImportKind = z.enum([
  'casks',
  'regauges',
  'plots',
  'harvest-lots',
  'ferments',
  'still-runs',
  'spirit-lots',
  'positions',
]);
export type ImportKind = z.infer<typeof ImportKind>;
export const ImportReport = z.strictObject({
  rowsRead: z.int(),
  rowsGood: z.int(),
  /** Every bad row: its line in the file, the column, what is wrong and what would be right. */
  errors: z.array(
    z.strictObject({ line: z.int(), column: z.string().nullable(), message: z.string() }),
  ),
  /**
   * Whether rows were written. Then `rowsGood` are those that are in the books now: all but those that others’ acts came in the way of
   * meanwhile, which `errors` tells, and those that were still to come when the job was stopped.
   */
  applied: z.boolean(),
});
export type ImportReport = z.infer<typeof ImportReport>;

export const importsApi = {
  importCsv: endpoint({
    method: 'POST',
    path: '/api/imports/:kind',
    summary:
      'Import CSV as a job whose result is the report: nothing when a row is refused; apply=false rehearses',
    access: 'keep',
    params: z.strictObject({ kind: ImportKind }),
    body: z.strictObject({ csv: z.string().min(1).max(50_000_000), apply: z.boolean() }),
    response: z.strictObject({ jobId: Id }),
  }),
  exportCsv: endpoint({
    method: 'GET',
    path: '/api/exports/:kind',
    summary: 'Export CSV',
    access: 'read',
    params: z.strictObject({ kind: z.enum(['casks', 'gauges', 'postings', 'positions']) }),
    response: z.unknown(),
    file: 'text/csv',
  }),
};
