import type { DutyStatus, JournalEntry } from '@rundlet/contracts';
import { ethanolMg } from '../liquid/content.ts';
import type { MemoryRecords } from './memory.ts';
import type { Effect } from './ports.ts';

/** Ethanol and water that one entry brought into the vessels (positive) or took out of them. */
export interface Flow {
  readonly ethanolMg: number;
  /** The part of it under duty suspension; releasing a cask takes it out of that and leaves it where it is. */
  readonly suspendedMg: number;
  readonly waterMg: number;
}

interface Holds {
  readonly waterMg: number;
  readonly ethanolMgByLot: Readonly<Record<string, number>>;
}
type Vessel = { readonly content: Holds; readonly dutyStatus: DutyStatus };
type Outcome = Partial<
  Record<'content' | 'taken' | 'more' | 'less', Holds> & { waterMg: number; late: boolean }
>;

/** By how much an entry changed what the vessels hold, from the records it left behind and those before it. */
export function flowOf(effects: readonly Effect[], records: MemoryRecords): Flow {
  let ethanol = 0;
  let suspended = 0;
  let water = 0;
  const count = (mg: number, dutyStatus: DutyStatus | undefined): void => {
    ethanol += mg;
    if (dutyStatus === 'suspended') suspended += mg;
  };
  for (const effect of effects) {
    if (effect.kind !== 'vat' && effect.kind !== 'filling') continue;
    if (effect.mode === 'add') {
      const { dutyStatus } = records.peek('vat', effect.id) ?? {};
      for (const lot in effect.ethanolMgByLot) count(effect.ethanolMgByLot[lot] ?? 0, dutyStatus);
      water += effect.waterMg;
      continue;
    }
    const before = effect.before as Vessel | null;
    const after = records.peek(effect.kind, effect.id);
    if (before) count(-ethanolMg(before.content), before.dutyStatus);
    if (after) count(ethanolMg(after.content), after.dutyStatus);
    water += (after?.content.waterMg ?? 0) - (before?.content.waterMg ?? 0);
  }
  return { ethanolMg: ethanol, suspendedMg: suspended, waterMg: water };
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
