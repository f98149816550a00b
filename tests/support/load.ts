import type { Client } from '@rundlet/client';
import { api, type Act } from '@rundlet/contracts';
import { act, type SmallEstate } from './small-estate.ts';

/** Hands that send acts without a pause, each act again until it is answered for, as a phone's outbox does. */
export interface Load {
  /** Ids of the acts that the server answered for. */
  readonly acknowledged: readonly string[];
  /** Ids the server said yes to as new: more than once would be one entry too many. */
  readonly applied: readonly string[];
  /** No further act is begun; resolves when those begun are answered for, or given up. */
  stop(how: 'answered' | 'given-up'): Promise<void>;
}

const HANDS = 8;
const AGAIN_MS = 20;

export function loadOn(client: Client, estate: SmallEstate): Load {
  const acknowledged: string[] = [];
  const applied: string[] = [];
  let going = true;
  let patient = true;
  const hands = Array.from({ length: HANDS }, async (_, hand) => {
    for (let i = 0; going; i++) {
      const body = someAct(estate, hand, i);
      while (going || patient)
        try {
          const { status } = await client.call(api.journal.submit, { body });
          if (status === 'applied') applied.push(body.id);
          acknowledged.push(body.id);
          break;
        } catch {
          await new Promise((go) => setTimeout(go, AGAIN_MS));
        }
    }
  });
  return {
    acknowledged,
    applied,
    async stop(how) {
      going = false;
      patient = how === 'answered';
      await Promise.all(hands);
    },
  };
}

/** Notes, and gauges: those change the filling, its gauges and the account as well. */
function someAct({ caskIds, fillingIds }: SmallEstate, hand: number, i: number): Act {
  const caskId = caskIds[(hand + i) % fillingIds.length] ?? '';
  if (i % 2 === 0) return act('cask.note', { caskId, text: `hand ${String(hand)}, ${String(i)}` });
  return act('cask.gauge', {
    caskId,
    readings: {
      method: 'declared',
      bulkLitresAt20C: 190 + ((hand * 7 + i) % 50) / 10,
      strengthPercentVol: 62,
    },
  });
}
