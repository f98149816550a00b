/** The outbox as a file: the last resort for a device that will not see the server again. */
import { z } from 'zod';
import { Act, type ActResult } from '@rundlet/contracts';
import type { OutboxItem } from './outbox.ts';

export const OutboxFile = z.strictObject({
  format: z.literal('rundlet-outbox'),
  version: z.literal(1),
  madeAt: z.string(),
  device: z.string(),
  items: z.array(
    z.strictObject({
      words: z.string(),
      state: z.string(),
      by: z.string().nullable(),
      act: Act,
      problem: z.unknown(),
    }),
  ),
});
export type OutboxFile = z.infer<typeof OutboxFile>;

/** Everything not applied yet, as readable JSON; the acts can be sent from any device, each is applied once. */
export function outboxToFile(
  items: readonly OutboxItem[],
  { device, madeAt }: { device: string; madeAt: string },
): string {
  const file: OutboxFile = {
    format: 'rundlet-outbox',
    version: 1,
    madeAt,
    device,
    items: items
      .filter((item) => item.state !== 'sent')
      .map(({ words, state, by, act, problem }) => ({
        words,
        state,
        by: by?.name ?? null,
        act,
        problem,
      })),
  };
  return JSON.stringify(file, null, 2);
}

/** @throws ZodError or SyntaxError naming what is wrong with the file */
export const outboxFromFile = (text: string): OutboxFile => OutboxFile.parse(JSON.parse(text));

/** Acts in one request when a file is brought in. */
const BATCH = 100;

/**
 * Sends what an outbox file holds, in its order. Acts the server has already change nothing, so a file may be brought in
 * twice, or after the device has found its network again.
 * @param send as for an outbox; @throws what it throws
 */
export async function bringIn(
  file: OutboxFile,
  send: (acts: readonly Act[]) => Promise<readonly ActResult[]>,
): Promise<ActResult[]> {
  const results: ActResult[] = [];
  for (let from = 0; from < file.items.length; from += BATCH)
    results.push(...(await send(file.items.slice(from, from + BATCH).map(({ act }) => act))));
  return results;
}
