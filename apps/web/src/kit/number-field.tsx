import { useState } from 'react';
import { Field, type FieldProps } from './field.tsx';

/** Reads a number as people type it: a decimal comma or point, spaces between thousands. Null when it is none. */
export function numberFromText(text: string): number | null {
  const plain = text.replace(/[\s\u00a0\u202f]/g, '').replace(',', '.');
  if (!/^[-−+]?(\d+\.?\d*|\.\d+)$/.test(plain)) return null;
  return Number(plain.replace('−', '-'));
}

/** A number with its unit in sight. `value` is null while the field is empty or holds no number. */
export function NumberField({
  value,
  onChange,
  unit,
  error,
  autoFocus,
  disabled,
  ...field
}: FieldProps & {
  value: number | null;
  onChange: (value: number | null) => void;
  unit: string;
  autoFocus?: boolean;
  disabled?: boolean;
}) {
  const [text, setText] = useState(value === null ? '' : String(value));
  // The owner may set the value (a scale's reading, a reset form); what is being typed must survive a re-render.
  const typed = numberFromText(text);
  const shown = typed === value || (value === null && text !== '' && typed === null) ? text : null;
  const current = shown ?? (value === null ? '' : String(value));
  const notANumber = current.trim() !== '' && numberFromText(current) === null;
  return (
    <Field
      {...field}
      error={notANumber ? `“${current}” is not a number in ${unit}; type one like 12.5` : error}
    >
      {(bound) => (
        <span className="with-unit">
          <input
            {...bound}
            type="text"
            inputMode="decimal"
            autoComplete="off"
            className="input number"
            autoFocus={autoFocus}
            disabled={disabled}
            value={current}
            onChange={(event) => {
              setText(event.target.value);
              onChange(numberFromText(event.target.value));
            }}
          />
          <span className="unit">{unit}</span>
        </span>
      )}
    </Field>
  );
}
