import { useId, type ReactNode } from 'react';
import { Icon } from './icon.tsx';
import './field.css';

export interface FieldProps {
  label: string;
  /** A word of help, under the control so that controls side by side stay in line. */
  hint?: ReactNode;
  /** What is wrong with the value, in words; from `errors.at('/…')`. */
  error?: string | undefined;
  /** For a label that the layout makes plain already; screen readers still hear it. */
  hideLabel?: boolean;
}

/** Ids and ARIA that tie a control to its label, hint and error. */
export interface Bound {
  id: string;
  'aria-describedby': string | undefined;
  'aria-invalid': true | undefined;
}

/** Label, the control that `children` makes, its hint, and the error at it. */
export function Field({
  label,
  hint,
  error,
  hideLabel = false,
  children,
}: FieldProps & { children: (bound: Bound) => ReactNode }) {
  const id = useId();
  const described = [hint ? `${id}-hint` : '', error ? `${id}-error` : ''].filter(Boolean);
  return (
    <div className="field">
      <label className={hideLabel ? 'visually-hidden' : 'field-label'} htmlFor={id}>
        {label}
      </label>
      {children({
        id,
        'aria-describedby': described.length > 0 ? described.join(' ') : undefined,
        'aria-invalid': error ? true : undefined,
      })}
      {hint && (
        <span className="field-hint" id={`${id}-hint`}>
          {hint}
        </span>
      )}
      <FieldError id={`${id}-error`} error={error} />
    </div>
  );
}

export function FieldError({ id, error }: { id: string; error: string | undefined }) {
  if (!error) return null;
  return (
    <span className="field-error" id={id} role="alert">
      <Icon name="warn" />
      <span>{error}</span>
    </span>
  );
}
