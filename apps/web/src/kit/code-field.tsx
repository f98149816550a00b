import { checkCode, displayCode } from '@rundlet/identifiers';
import { Button } from './button.tsx';
import { Field, type FieldProps } from './field.tsx';

/** A code as the trade reads it aloud, `C000-04H9`, in a face that keeps 0 and O, 1 and I apart. */
export function CodeText({ code }: { code: string }) {
  return <span className="code code-text">{displayCode(code)}</span>;
}

/**
 * Takes a typed or hand-scanned code. It judges the check character while you type and hands the text over on Enter,
 * because hand scanners end with one.
 */
export function CodeField({
  value,
  onChange,
  onEnter,
  action = 'Look up',
  busy = false,
  autoFocus,
  ...field
}: FieldProps & {
  value: string;
  onChange: (value: string) => void;
  onEnter: (value: string) => void;
  action?: string;
  busy?: boolean;
  autoFocus?: boolean;
}) {
  const check = value.trim().length >= 8 ? checkCode(value) : null;
  const wrong =
    check?.status === 'wrong-check-character'
      ? 'The check character does not fit: look at the label once more.'
      : undefined;
  const hand = (): void => {
    if (value.trim() !== '') onEnter(value.trim());
  };
  // No form element of its own: it often stands inside one.
  return (
    <Field {...field} error={field.error ?? wrong}>
      {(bound) => (
        <span className="with-unit">
          <input
            {...bound}
            className="input input-code"
            autoCapitalize="characters"
            autoComplete="off"
            autoCorrect="off"
            spellCheck={false}
            enterKeyHint="go"
            autoFocus={autoFocus}
            data-takes-scans
            value={value}
            onChange={(event) => {
              onChange(event.target.value);
            }}
            onKeyDown={(event) => {
              if (event.key !== 'Enter') return;
              event.preventDefault();
              hand();
            }}
          />
          <Button busy={busy} kind="main" onClick={hand}>
            {action}
          </Button>
        </span>
      )}
    </Field>
  );
}
