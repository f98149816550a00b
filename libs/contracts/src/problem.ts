import { z } from 'zod';

/** RFC 9457 problem details, as every refused request answers. `errors` points at fields by JSON pointer. */
export const Problem = z.looseObject({
  type: z.string(),
  title: z.string(),
  status: z.int(),
  detail: z.string().optional(),
  instance: z.string().optional(),
  errors: z.array(z.object({ pointer: z.string(), detail: z.string() })).optional(),
});
export type Problem = z.infer<typeof Problem>;
