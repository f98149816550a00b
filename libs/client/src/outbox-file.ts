/** The outbox as a file: the last resort for a device that will not see the server again. */
import { z } from 'zod';
import { Act } from '@rundlet/contracts';
import type { OutboxItem } from './outbox.ts';

export const OutboxFile = z.strictObject({
  format: z.literal('rundlet-outbox'),
  version: z.literal(1),
  madeAt: z.string(),
  device: z.string(),
  items: z.array(
    z.strictObject({ words: z.string(), state: z.string(), act: Act, problem: z.unknown() }),
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
      .map(({ words, state, act, problem }) => ({ words, state, act, problem })),
  };
  return JSON.stringify(file, null, 2);
}

/** @throws ZodError or SyntaxError naming what is wrong with the file */
export const outboxFromFile = (text: string): OutboxFile => OutboxFile.parse(JSON.parse(text));
