import type { Aim } from './aim.ts';
import type { CandidateCask } from './candidate.ts';
import type { Wish } from './wish.ts';

/** "Keep these, re-plan the rest": the cask stays in the plan with this draw. */
export interface LockedDraw {
  readonly caskId: string;
  /** Litres at 20 °C drawn; the whole cask when left out. */
  readonly bulkLitresAt20C?: number;
}

/** A blend to plan: what may be drawn from, what must hold, what is wanted most. */
export interface BlendProblem {
  readonly casks: readonly CandidateCask[];
  /** Exactly one volume and one strength wish; at most one water, take and holds wish. */
  readonly wishes: readonly Wish[];
  /** Nothing aimed at: any plan that meets the wishes will do. */
  readonly aims: readonly Aim[];
  readonly locks?: readonly LockedDraw[];
}
