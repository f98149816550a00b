import type { ActKind, ActOf } from '@rundlet/contracts';
import type { ForecastPort } from '../journal/ports.ts';
import type { TrackedStore } from '../journal/tracked-store.ts';

/** What deciding may look at. */
export interface DecideContext {
  readonly state: TrackedStore;
  readonly forecast: ForecastPort;
  readonly receivedAt: string;
  readonly actorId: string;
}

/** What folding may look at: the entry and the state, never a clock, a forecast or a formula that could change. */
export interface FoldContext {
  readonly state: TrackedStore;
  readonly entryId: string;
  readonly at: string;
  readonly receivedAt: string;
  readonly actorId: string;
}

/**
 * One kind of act. `decide` refuses or works out the outcome from the state; `fold` changes the state from act and
 * outcome alone, so that an old journal folds the same under newer formulas.
 */
export interface ActHandler<K extends ActKind, O extends object> {
  decide(act: ActOf<K>, context: DecideContext): Promise<O>;
  fold(act: ActOf<K>, outcome: O, context: FoldContext): Promise<void>;
}

/** Keeps the outcome's type between decide and fold. */
export function handler<K extends ActKind, O extends object>(
  h: ActHandler<K, O>,
): ActHandler<K, O> {
  return h;
}
