import { useId, type ReactNode } from 'react';
import { Field, FieldError, type FieldProps } from './field.tsx';

export interface Choice<T extends string> {
  value: T;
  label: string;
  disabled?: boolean;
}

/** One of many, in a list that drops down. */
export function SelectField<T extends string>({
  value,
  onChange,
  choices,
  empty,
  ...field
}: FieldProps & {
  value: T | '';
  onChange: (value: T) => void;
  choices: readonly Choice<T>[];
  /** What the list says while nothing is chosen. */
  empty?: string;
}) {
  return (
    <Field {...field}>
      {(bound) => (
        <select
          {...bound}
          className="input"
          value={value}
          onChange={(event) => {
            onChange(event.target.value as T);
          }}
        >
          {empty !== undefined && <option value="">{empty}</option>}
          {choices.map((choice) => (
            <option key={choice.value} value={choice.value} disabled={choice.disabled}>
              {choice.label}
            </option>
          ))}
        </select>
      )}
    </Field>
  );
}

/** One of a few, all in sight; arrow keys go from one to the next. */
export function ChoiceField<T extends string>({
  label,
  hint,
  error,
  hideLabel = false,
  value,
  onChange,
  choices,
}: FieldProps & {
  value: T;
  onChange: (value: T) => void;
  choices: readonly Choice<T>[];
}) {
  const name = useId();
  return (
    <fieldset className="field" aria-describedby={error ? `${name}-error` : undefined}>
      <legend className={hideLabel ? 'visually-hidden' : 'field-label'}>{label}</legend>
      {hint && <span className="field-hint">{hint}</span>}
      <div className="choices">
        {choices.map((choice) => (
          <label className="choice" key={choice.value}>
            <input
              type="radio"
              name={name}
              value={choice.value}
              checked={choice.value === value}
              disabled={choice.disabled}
              onChange={() => {
                onChange(choice.value);
              }}
            />
            {choice.label}
          </label>
        ))}
      </div>
      <FieldError id={`${name}-error`} error={error} />
    </fieldset>
  );
}

export function CheckField({
  checked,
  onChange,
  children,
}: {
  checked: boolean;
  onChange: (checked: boolean) => void;
  children: ReactNode;
}) {
  return (
    <label className="check">
      <input
        type="checkbox"
        checked={checked}
        onChange={(event) => {
          onChange(event.target.checked);
        }}
      />
      <span>{children}</span>
    </label>
  );
}
