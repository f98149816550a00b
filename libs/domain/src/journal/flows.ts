import type { JournalEntry } from '@rundlet/contracts';
import { ethanolMg } from '../liquid/content.ts';
import type { MemoryRecords } from './memory.ts';
import type { Effect } from './ports.ts';

/** Ethanol and water that one entry brought into the vessels (positive) or took out of them. */
export interface Flow {
  readonly ethanolMg: number;
  readonly waterMg: number;
}

interface Holds {
  readonly waterMg: number;
  readonly ethanolMgByLot: Readonly<Record<string, number>>;
}
type Outcome = Partial<
  Record<'content' | 'taken' | 'more' | 'less', Holds> & { waterMg: number; late: boolean }
>;

/** By how much an entry changed what the vessels hold, from the records it left behind and those before it. */
export function flowOf(effects: readonly Effect[], records: MemoryRecords): Flow {
  let ethanol = 0;
  let water = 0;
  for (const effect of effects) {
    if (effect.kind !== 'vat' && effect.kind !== 'filling') continue;
    if (effect.mode === 'add') {
      for (const lot in effect.ethanolMgByLot) ethanol += effect.ethanolMgByLot[lot] ?? 0;
      water += effect.waterMg;
      continue;
    }
    const before = (effect.before as { content: Holds } | null)?.content;
    const after = records.peek(effect.kind, effect.id)?.content;
    ethanol += (after ? ethanolMg(after) : 0) - (before ? ethanolMg(before) : 0);
    water += (after?.waterMg ?? 0) - (before?.waterMg ?? 0);
  }
  return { ethanolMg: ethanol, waterMg: water };
}

/**
 * Water that an entry of its kind may bring in or take out, mg, by its own outcome; null where a gauge or a reversal says
 * it. Every kind not named here moves water between vessels at most.
 */
export function declaredWaterMg({ kind, body, outcome }: JournalEntry): number | null {
  const { content, taken, more, less, waterMg, late } = outcome as Outcome;
  const water = (holds: Holds | undefined): number => holds?.waterMg ?? 0;
  switch (kind) {
    case 'spirit.receive':
      return water(content);
    case 'vat.deliver':
    case 'bottling.record':
      return -water(content);
    case 'cask.sample':
      return late === true ? 0 : -water(content);
    case 'vat.reduce':
      return waterMg ?? 0;
    case 'vat.gauge':
    case 'plan.complete':
      return water(more) - water(less);
    case 'cask.fill':
    case 'cask.re-rack':
      return water(content) - water(taken);
    case 'cask.disgorge':
      return body['readings'] === null ? 0 : null;
    case 'cask.gauge':
    case 'entry.reverse':
    case 'plan.take-back':
    case 'held.settle':
      return null;
    default:
      return 0;
  }
}
