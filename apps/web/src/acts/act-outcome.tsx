import { Notice } from '../kit/surface.tsx';
import type { ActState } from './use-act.ts';
import type { ActKind } from '@rundlet/contracts';

/**
 * What a form says above its button: the refusals that belong to none of its fields (`pointers`), or what came of it.
 */
export function ActOutcome<K extends ActKind>({
  act,
  pointers = [],
  applied,
}: {
  act: ActState<K>;
  /** Pointers the form shows errors for itself. */
  pointers?: readonly string[];
  /** What to say once it is booked; nothing when the page moves on by itself. */
  applied?: string;
}) {
  if (act.problem) {
    const rest = act.errors.rest(pointers);
    return (
      <Notice
        tone="bad"
        live
        title={rest.length > 0 ? 'Not booked' : 'Not booked: see the fields above'}
      >
        {rest.map((line) => (
          <p key={line}>{line}</p>
        ))}
      </Notice>
    );
  }
  if (act.done?.status === 'waiting')
    return (
      <Notice tone="caution" live title="Kept on this device">
        It goes out by itself as soon as the server can be reached.
      </Notice>
    );
  if (act.done?.status === 'held')
    return (
      <Notice tone="caution" live title="Kept for the keeper">
        {act.done.problem?.detail ??
          'The server could not book it and holds it for a keeper to settle.'}
      </Notice>
    );
  if (act.done?.status === 'applied' && applied) return <Notice tone="good" live title={applied} />;
  return null;
}
