import { z } from 'zod';
import { ById, endpoint } from '../endpoint.ts';
import { Id, Instant } from '../primitives.ts';

/** Work that takes long. `progress` is 0 to 1 where it can be told; `detail` is what the work says of itself. */
export const Job = z.strictObject({
  id: Id,
  kind: z.string(),
  status: z.enum(['waiting', 'running', 'done', 'failed', 'cancelled']),
  progress: z.number().min(0).max(1).nullable(),
  detail: z.record(z.string(), z.unknown()),
  result: z.unknown(),
  error: z.string().nullable(),
  createdAt: Instant,
  finishedAt: Instant.nullable(),
});
export type Job = z.infer<typeof Job>;

export const jobsApi = {
  get: endpoint({
    method: 'GET',
    path: '/api/jobs/:id',
    summary: 'How a job stands',
    access: 'read',
    params: ById,
    response: Job,
  }),
  cancel: endpoint({
    method: 'DELETE',
    path: '/api/jobs/:id',
    summary: 'Cancel a job',
    access: 'read',
    params: ById,
    response: Job,
  }),
};
