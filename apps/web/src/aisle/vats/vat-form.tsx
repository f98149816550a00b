import type { ActKind } from '@rundlet/contracts';
import type { ReactNode } from 'react';
import { AttachmentsField } from '../../acts/attachments-field.tsx';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import type { ActState } from '../../acts/use-act.ts';
import { Button, type IconName } from '../../kit/kit.ts';

/** A form for one act on a vat; it stays open, because the next gauge often follows at once. */
export function VatForm<K extends ActKind>({
  act,
  pointers,
  button,
  icon,
  ready,
  applied,
  onSubmit,
  children,
}: {
  act: ActState<K>;
  pointers: readonly string[];
  button: string;
  icon: IconName;
  ready: boolean;
  applied: string;
  onSubmit: () => void;
  children: ReactNode;
}) {
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
      <ActOutcome act={act} pointers={pointers} applied={applied} />
      <div className="form-foot">
        <Button type="submit" kind="main" icon={icon} busy={act.busy} disabled={!ready}>
          {act.busy ? 'Booking …' : button}
        </Button>
      </div>
    </form>
  );
}
