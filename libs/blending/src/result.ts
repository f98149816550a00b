import type { BlendPlan, LevelOutcome } from './plan.ts';

/** The least change of one wish, alone, that opens a plan. */
export type Relaxation =
  | {
      /** Changing this wish alone is enough. */
      readonly kind: 'change';
      readonly limit: string;
      readonly from: number;
      readonly to: number;
      readonly unit: string;
      readonly words: string;
      /** False when only a linear relaxation was solved, so whole casks may need a little more. */
      readonly exact: boolean;
    }
  | { readonly kind: 'drop'; readonly words: string }
  | { readonly kind: 'not-enough'; readonly words: string }
  | { readonly kind: 'not-tried'; readonly words: string };

export interface ConflictingWish {
  readonly wishId: string;
  readonly words: string;
  readonly relaxation: Relaxation;
}

/** Wishes that cannot all hold. Dropping any one of them resolves this conflict; another may stand beside it. */
export interface Conflict {
  readonly wishes: readonly ConflictingWish[];
  /** True when no member can be left out; false when time ran out while thinning the set. */
  readonly irreducible: boolean;
  /** True when part casks would work and whole ones do not. */
  readonly onlyBecauseWhole: boolean;
  readonly words: string;
}

export interface SolveEffort {
  readonly eligibleCasks: number;
  readonly seconds: number;
  readonly solverName: string;
  readonly solverCalls: number;
  /** What was done, in order: for the record and for the curious. */
  readonly steps: readonly string[];
}

export type BlendStatus = 'proven-best' | 'within-gap' | 'infeasible' | 'no-plan-found' | 'failed';

export type FailureReason = 'solver' | 'not-real';

export type BlendResult =
  | {
      readonly status: 'proven-best' | 'within-gap';
      readonly plan: BlendPlan;
      readonly levels: readonly LevelOutcome[];
      /** Relative gap of the first level that is not proven; 0 when all are. */
      readonly relativeGap: number;
      readonly words: string;
      readonly effort: SolveEffort;
    }
  | {
      readonly status: 'infeasible';
      /** Absent only when explaining was switched off. */
      readonly conflict?: Conflict;
      readonly words: string;
      readonly effort: SolveEffort;
    }
  | {
      /** The limit came before a plan and before a proof that there is none. */
      readonly status: 'no-plan-found';
      readonly words: string;
      readonly effort: SolveEffort;
    }
  | {
      readonly status: 'failed';
      /** `solver`: it gave up or gave no answer; `not-real`: its plan does not hold as physics has it. */
      readonly reason: FailureReason;
      readonly words: string;
      /** The model as free MPS text, to be kept for inspection. */
      readonly modelText?: string;
      readonly effort: SolveEffort;
    };

/** Told while solving. `bound` and `value` belong to the current level of the aims. */
export interface BlendProgress {
  readonly stage: 'preparing' | 'relaxing' | 'searching' | 'proving' | 'explaining';
  readonly seconds: number;
  readonly priority: number;
  readonly value: number | null;
  readonly bound: number | null;
  readonly relativeGap: number | null;
  /** Casks in the best plan so far. */
  readonly casks: number | null;
}
