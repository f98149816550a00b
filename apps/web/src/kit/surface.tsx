import { useEffect, useId, useRef, type ReactNode } from 'react';
import { Button } from './button.tsx';
import { Icon, type IconName } from './icon.tsx';
import './surface.css';

/** A screen's frame: heading, a line of what it is for, actions, content. */
export function Page({
  title,
  lead,
  actions,
  narrow = false,
  children,
}: {
  title: ReactNode;
  lead?: ReactNode;
  actions?: ReactNode;
  narrow?: boolean;
  children: ReactNode;
}) {
  return (
    <div className={narrow ? 'page page-narrow' : 'page'}>
      <div className="page-head">
        <div className="line-spread">
          <h1>{title}</h1>
          {actions && <div className="line not-printed">{actions}</div>}
        </div>
        {lead && <p className="page-lead">{lead}</p>}
      </div>
      {children}
    </div>
  );
}

/** A titled part of a page. */
export function Card({
  title,
  aside,
  children,
}: {
  title?: ReactNode;
  aside?: ReactNode;
  children: ReactNode;
}) {
  const id = useId();
  return (
    <section className="card" aria-labelledby={title ? id : undefined}>
      {title && (
        <header>
          <h2 id={id}>{title}</h2>
          {aside}
        </header>
      )}
      {children}
    </section>
  );
}

export type Tone = 'plain' | 'good' | 'caution' | 'bad';
const TONE_ICON: Record<Tone, IconName> = {
  plain: 'info',
  good: 'check',
  caution: 'warn',
  bad: 'cross',
};

/** A message in the page. `caution` also serves the safety sentences. `live` is read out when it appears. */
export function Notice({
  tone = 'plain',
  title,
  live = false,
  actions,
  children,
}: {
  tone?: Tone;
  title?: string;
  live?: boolean;
  actions?: ReactNode;
  children?: ReactNode;
}) {
  return (
    <div
      className={`notice tone-${tone}`}
      role={live ? (tone === 'bad' ? 'alert' : 'status') : undefined}
    >
      <Icon name={TONE_ICON[tone]} />
      <div>
        {title && <strong>{title}</strong>}
        {title && children && <br />}
        {children}
      </div>
      {actions && <div className="notice-actions">{actions}</div>}
    </div>
  );
}

/** A state in a word and a shape; colour only underlines it. */
export function Mark({
  tone = 'plain',
  icon,
  children,
}: {
  tone?: Tone;
  icon?: IconName;
  children: ReactNode;
}) {
  return (
    <span className={`mark tone-${tone}`}>
      <Icon name={icon ?? TONE_ICON[tone]} />
      {children}
    </span>
  );
}

/** A question or short form above the page. Escape and the close button both call `onClose`. */
export function Dialog({
  title,
  open,
  onClose,
  children,
}: {
  title: string;
  open: boolean;
  onClose: () => void;
  children: ReactNode;
}) {
  const ref = useRef<HTMLDialogElement>(null);
  const id = useId();
  useEffect(() => {
    const dialog = ref.current;
    if (!dialog) return;
    if (open && !dialog.open) dialog.showModal();
    if (!open && dialog.open) dialog.close();
  }, [open]);
  return (
    <dialog ref={ref} className="dialog" aria-labelledby={id} onClose={onClose}>
      {open && (
        <div className="dialog-inside">
          <div className="line-spread">
            <h2 id={id}>{title}</h2>
            <Button kind="quiet" icon="cross" onClick={onClose}>
              Close
            </Button>
          </div>
          {children}
        </div>
      )}
    </dialog>
  );
}

/** How far a long piece of work is; `value` 0 to 1, null while that cannot be told. */
export function Progress({ label, value }: { label: string; value: number | null }) {
  const id = useId();
  return (
    <div className="progress">
      <span id={id}>
        {label}
        {value !== null && <span className="number"> {Math.round(value * 100)} %</span>}
      </span>
      <progress aria-labelledby={id} max={1} {...(value === null ? {} : { value })} />
    </div>
  );
}

/** Names and what they are, in a grid. Entries that are null are left out. */
export function Facts({ facts }: { facts: readonly (readonly [string, ReactNode] | null)[] }) {
  return (
    <dl className="facts">
      {facts.map(
        (fact) =>
          fact && (
            <div key={fact[0]}>
              <dt>{fact[0]}</dt>
              <dd>{fact[1]}</dd>
            </div>
          ),
      )}
    </dl>
  );
}
