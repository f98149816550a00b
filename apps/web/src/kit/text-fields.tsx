import type { InputHTMLAttributes } from 'react';
import { Field, type FieldProps } from './field.tsx';

type Native = Omit<InputHTMLAttributes<HTMLInputElement>, 'value' | 'onChange' | 'type'>;

export function TextField({
  label,
  hint,
  error,
  hideLabel,
  value,
  onChange,
  type = 'text',
  ...rest
}: FieldProps & {
  value: string;
  onChange: (value: string) => void;
  type?: 'text' | 'password' | 'search' | 'email';
} & Native) {
  return (
    <Field {...{ label, hint, error, hideLabel: hideLabel ?? false }}>
      {(bound) => (
        <input
          {...rest}
          {...bound}
          type={type}
          className={`input ${rest.className ?? ''}`}
          value={value}
          onChange={(event) => {
            onChange(event.target.value);
          }}
        />
      )}
    </Field>
  );
}

export function LongTextField({
  value,
  onChange,
  rows = 3,
  ...field
}: FieldProps & { value: string; onChange: (value: string) => void; rows?: number }) {
  return (
    <Field {...field}>
      {(bound) => (
        <textarea
          {...bound}
          className="input"
          rows={rows}
          value={value}
          onChange={(event) => {
            onChange(event.target.value);
          }}
        />
      )}
    </Field>
  );
}

/** A calendar date, as `2026-03-01`; empty text while none is chosen. */
export function DateField({
  value,
  onChange,
  min,
  max,
  ...field
}: FieldProps & {
  value: string;
  onChange: (value: string) => void;
  min?: string;
  max?: string;
}) {
  return (
    <Field {...field}>
      {(bound) => (
        <input
          {...bound}
          type="date"
          className="input number"
          min={min}
          max={max}
          value={value}
          onChange={(event) => {
            onChange(event.target.value);
          }}
        />
      )}
    </Field>
  );
}
