import type { ButtonHTMLAttributes, ReactNode } from 'react';
import { Link } from 'wouter';
import { Icon, type IconName } from './icon.tsx';
import './button.css';

/** `main`: the one thing this screen is for. `grave`: takes something away. `quiet`: of little weight. */
export type ButtonKind = 'main' | 'plain' | 'quiet' | 'grave';

interface Common {
  kind?: ButtonKind;
  icon?: IconName;
  wide?: boolean;
  children: ReactNode;
}

const classOf = (kind: ButtonKind, wide: boolean): string =>
  ['button', kind === 'plain' ? '' : `button-${kind}`, wide ? 'button-wide' : '']
    .filter(Boolean)
    .join(' ');

export function Button({
  kind = 'plain',
  icon,
  wide = false,
  busy = false,
  children,
  ...rest
}: Common & { busy?: boolean } & ButtonHTMLAttributes<HTMLButtonElement>) {
  return (
    <button
      type="button"
      {...rest}
      className={classOf(kind, wide)}
      disabled={rest.disabled === true || busy}
      aria-busy={busy || undefined}
    >
      {icon && <Icon name={icon} />}
      {children}
    </button>
  );
}

/** Looks like a button, leads to a page. */
export function LinkButton({
  to,
  kind = 'plain',
  icon,
  wide = false,
  children,
}: Common & { to: string }) {
  return (
    <Link href={to} className={classOf(kind, wide)}>
      {icon && <Icon name={icon} />}
      {children}
    </Link>
  );
}
