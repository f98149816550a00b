import type { ReadingsDraft } from './readings-draft.ts';

type Kept = Pick<ReadingsDraft, 'method' | 'orientation' | 'strengthKind'>;
let kept: Kept | undefined;

/** A round is done with the same instruments: the next form begins as the last one ended. */
export function rememberMethod({ method, orientation, strengthKind }: ReadingsDraft): void {
  kept = { method, orientation, strengthKind };
}
export const lastMethod = (): Partial<Kept> => kept ?? {};
