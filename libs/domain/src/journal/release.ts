import type { JournalEntry } from '@rundlet/contracts';
import { DomainError } from '../errors.ts';
import { submitAct, type SubmitContext, type Submitted } from './submit.ts';

/**
 * Tries again what is held for want of room in a position, once an entry has touched that position or that cask: often
 * the act that made the room was only on another device, later to arrive. What still does not fit stays held.
 * @param newId makes the ids of the entries this adds
 */
export async function releaseHeld(
  entry: JournalEntry,
  context: SubmitContext,
  newId: () => string,
): Promise<Submitted[]> {
  const released: Submitted[] = [];
  const written = [entry];
  for (let cause = written.shift(); cause; cause = written.shift()) {
    if (!mayMakeRoom(cause)) continue;
    const held = (await context.records.openHeldActs())
      .filter((one) => waitsFor(one, cause))
      .sort((a, b) => (happenedAt(a) + a.id < happenedAt(b) + b.id ? -1 : 1));
    for (const { id } of held) {
      const submitted = await settle(id, context, newId());
      if (!submitted) continue;
      released.push(submitted);
      written.push(submitted.entry);
    }
  }
  return released;
}

async function settle(
  heldActId: string,
  context: SubmitContext,
  id: string,
): Promise<Submitted | null> {
  try {
    return await submitAct(
      {
        id,
        kind: 'held.settle',
        happenedAt: context.receivedAt,
        body: {
          heldActId,
          verdict: 'try-again',
          reason: 'What stood in its way has been booked since',
        },
      },
      context,
    );
  } catch (error) {
    if (error instanceof DomainError) return null;
    throw error;
  }
}

type Held = { id: string; act: Readonly<Record<string, unknown>>; problem: object };
const happenedAt = ({ act }: Held): string => String(act['happenedAt']);

const mayMakeRoom = (entry: JournalEntry): boolean =>
  entry.kind !== 'act.hold' && entry.subjects.some((subject) => subject.startsWith('position:'));

function waitsFor({ act, problem }: Held, cause: JournalEntry): boolean {
  const { code, details } = problem as { code: string; details?: { positionId?: string } };
  if (code !== 'position-full') return false;
  const { caskId } = (act['body'] ?? {}) as { caskId?: string };
  return (
    cause.subjects.includes(`position:${String(details?.positionId)}`) ||
    cause.subjects.includes(`cask:${String(caskId)}`)
  );
}
