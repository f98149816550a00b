import { useState, type ReactNode } from 'react';
import { Button } from '../../kit/kit.ts';

/** Several wishes of one sort, each dropped by its own button. */
export function WishList<T>({
  title,
  hint,
  rows,
  onChange,
  start,
  add,
  children,
}: {
  title: string;
  hint?: ReactNode;
  rows: readonly T[];
  onChange: (rows: T[]) => void;
  start: () => T;
  /** What the button that adds one says. */
  add: string;
  children: (row: T, change: (more: Partial<T>) => void, at: number) => ReactNode;
}) {
  return (
    <fieldset className="field">
      <legend className="field-label">{title}</legend>
      {hint && <span className="field-hint">{hint}</span>}
      <div className="stack-tight">
        {rows.map((row, at) => (
          <div className="wish-row" key={at}>
            {children(
              row,
              (more) => {
                onChange(rows.map((one, i) => (i === at ? { ...one, ...more } : one)));
              },
              at,
            )}
            <Button
              kind="quiet"
              icon="cross"
              onClick={() => {
                onChange(rows.filter((_, i) => i !== at));
              }}
            >
              Drop
            </Button>
          </div>
        ))}
        <div>
          <Button
            onClick={() => {
              onChange([...rows, start()]);
            }}
          >
            {add}
          </Button>
        </div>
      </div>
    </fieldset>
  );
}

/** Wishes that few blends need, folded away; the summary says how many are made. */
export function WishSection({
  title,
  made,
  children,
}: {
  title: string;
  made: number;
  children: ReactNode;
}) {
  const [startsOpen] = useState(made > 0);
  return (
    <details className="wish-section" open={startsOpen}>
      <summary>
        {title}
        {made > 0 && (
          <span className="soft"> · {made === 1 ? '1 wish' : `${String(made)} wishes`}</span>
        )}
      </summary>
      <div className="stack">{children}</div>
    </details>
  );
}
