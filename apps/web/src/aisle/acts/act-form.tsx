import type { ActKind } from '@rundlet/contracts';
import type { ReactNode } from 'react';
import { useLocation } from 'wouter';
import { AttachmentsField } from '../../acts/attachments-field.tsx';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import type { ActState } from '../../acts/use-act.ts';
import { Button, LinkButton, type IconName } from '../../kit/kit.ts';

/** Fields, the outcome, and the buttons; once booked, the way on. */
export function ActForm<K extends ActKind>({
  act,
  pointers,
  button,
  icon,
  grave = false,
  ready = true,
  applied,
  back,
  backWords = 'Back to the card',
  again,
  onSubmit,
  children,
}: {
  act: ActState<K>;
  pointers: readonly string[];
  button: string;
  icon?: IconName;
  grave?: boolean;
  ready?: boolean;
  /** What to say once it is booked. */
  applied: string;
  /** Where “done” and “leave it” lead. */
  back: string;
  backWords?: string;
  /** Where the next like it begins, when there usually is one. */
  again?: { to: string; label: string };
  onSubmit: () => void;
  children: ReactNode;
}) {
  const [, go] = useLocation();
  const over = act.done !== null && act.done.status !== 'refused' && !act.problem;
  if (over)
    return (
      <div className="stack">
        <ActOutcome act={act} applied={applied} />
        <div className="form-foot">
          {again && (
            <LinkButton to={again.to} kind="main">
              {again.label}
            </LinkButton>
          )}
          <LinkButton to={back} kind={again ? 'plain' : 'main'}>
            {backWords}
          </LinkButton>
        </div>
      </div>
    );
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        onSubmit();
      }}
    >
      {children}
      <AttachmentsField act={act} />
      <ActOutcome act={act} pointers={pointers} />
      <div className="form-foot">
        <Button
          type="submit"
          kind={grave ? 'grave' : 'main'}
          busy={act.busy}
          disabled={!ready}
          {...(icon ? { icon } : {})}
        >
          {act.busy ? 'Booking …' : button}
        </Button>
        <Button
          kind="quiet"
          onClick={() => {
            go(back);
          }}
        >
          Leave it
        </Button>
      </div>
    </form>
  );
}
