/** The outbox as a file: the last resort for a device that will not see the server again. */
import { z } from 'zod';
import { Act, ContentHash, type ActResult } from '@rundlet/contracts';
import { base64 } from '@scure/base';
import { RefusedError } from './client.ts';
import { base64Of, type Door } from './door.ts';
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
      /** What the act has attached; files of an older program have none. */
      files: z.array(z.strictObject({ sha256: ContentHash, base64: z.string() })).default([]),
    }),
  ),
});
export type OutboxFile = z.infer<typeof OutboxFile>;

/** Everything not applied yet, as readable JSON; the acts can be sent from any device, each is applied once. */
export async function outboxToFile(
  items: readonly OutboxItem[],
  { device, madeAt }: { device: string; madeAt: string },
): Promise<string> {
  const file: OutboxFile = {
    format: 'rundlet-outbox',
    version: 1,
    madeAt,
    device,
    items: await Promise.all(
      items
        .filter((item) => item.state !== 'sent')
        .map(async ({ words, state, by, act, problem, files = [] }) => ({
          words,
          state,
          by: by?.name ?? null,
          act,
          problem,
          files: await Promise.all(
            files.map(async (one) => ({ sha256: one.sha256, base64: await base64Of(one) })),
          ),
        })),
    ),
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
 * @throws what the door throws
 */
export async function bringIn(file: OutboxFile, { send, upload }: Door): Promise<ActResult[]> {
  const results: ActResult[] = [];
  for (const { sha256, base64: text } of file.items.flatMap(({ files }) => files))
    try {
      await upload({
        sha256,
        bytes: { arrayBuffer: async () => base64.decode(text).slice().buffer },
      });
    } catch (error) {
      // The act that names it is refused then, and says so; the others go on.
      if (!(error instanceof RefusedError)) throw error;
    }
  for (let from = 0; from < file.items.length; from += BATCH)
    results.push(...(await send(file.items.slice(from, from + BATCH).map(({ act }) => act))));
  return results;
}
