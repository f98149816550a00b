import type { BodyOf } from '@rundlet/contracts';
import { useState } from 'react';
import { useLocation, useSearch } from 'wouter';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { newId } from '../../acts/act.ts';
import { useAct } from '../../acts/use-act.ts';
import {
  Button,
  DateField,
  LongTextField,
  Notice,
  NumberField,
  SelectField,
  TextField,
} from '../../kit/kit.ts';
import { KIND_WORDS } from './kinds.ts';
import { StepSearch } from './step-search.tsx';
import { STEP, type Step, type StepField } from './steps.ts';
import type { StepKind } from '@rundlet/contracts';
import { useStepChoices, type StepChoice, type StepChoices } from './use-step-choices.ts';

type Value = string | number | null;
interface Input {
  readonly key: string;
  readonly id: string;
  readonly amount: number | null;
}
const emptyInput = (): Input => ({ key: newId(), id: '', amount: null });

/** A record of the step, and how the steps it was made of are called. */
interface Was {
  readonly record: Readonly<Record<string, unknown>>;
  readonly madeOf: readonly StepChoice[];
}

/** The fields of one step of the chain: to record it, or with `was` to correct what is recorded. */
export function StepForm({ kind, was }: { kind: StepKind; was?: Was }) {
  const step: Step = STEP[kind];
  const given = new URLSearchParams(useSearch()).get('of') ?? '';
  const [values, setValues] = useState<Readonly<Record<string, Value>>>(() =>
    was ? valuesOf(step, was.record) : {},
  );
  const [from, setFrom] = useState(() =>
    was && step.from ? String(was.record[step.from.name]) : given,
  );
  const [asRecorded] = useState(() => (was ? inputsOf(step, was.record) : null));
  const [inputs, setInputs] = useState<readonly Input[]>(
    () => asRecorded ?? [{ ...emptyInput(), id: given }],
  );
  const [reason, setReason] = useState('');
  const act = useAct(was ? 'step.correct' : step.act);
  const [, go] = useLocation();
  const choices = useStepChoices(step.from?.kind ?? step.inputs?.kind, was?.madeOf);
  const at = was ? '/to' : '';
  const pointers = [
    '/reason',
    ...step.fields.map(({ name }) => `${at}/${name}`),
    ...(step.from ? [`${at}/${step.from.name}`] : []),
    ...inputs.flatMap((_, i) =>
      step.inputs
        ? [
            `${at}/inputs/${String(i)}/${step.inputs.idName}`,
            `${at}/inputs/${String(i)}/${step.inputs.amountName}`,
          ]
        : [],
    ),
  ];
  const used = inputs.filter((input) => input.id !== '' || input.amount !== null);
  const ready =
    (!was || reason.trim() !== '') &&
    step.fields.every(({ name, optional }) => optional || isGiven(values[name])) &&
    (!step.from || from !== '') &&
    (!step.inputs ||
      ((step.inputs.mayBeEmpty === true || used.length > 0) &&
        used.every((input) => input.id !== '' && input.amount !== null)));

  const facts = (): Record<string, unknown> => ({
    ...Object.fromEntries(
      step.fields.map(({ name }) => {
        const value = values[name] ?? null;
        return [name, typeof value === 'string' ? value.trim() || null : value];
      }),
    ),
    ...(step.from ? { [step.from.name]: from } : {}),
    ...(step.inputs && inputs !== asRecorded
      ? {
          inputs: used.map((input) => ({
            [step.inputs?.idName ?? '']: input.id,
            [step.inputs?.amountName ?? '']: (input.amount ?? 0) / (step.inputs?.per ?? 1),
          })),
        }
      : {}),
  });
  const record = async () => {
    const on = step.happened === undefined ? null : values[step.happened];
    const done = await act.run(
      { id: newId(), ...facts() } as unknown as BodyOf<typeof step.act>,
      `Record ${step.a} ${String(values['code'] ?? '')}`,
      typeof on === 'string' ? { happenedAt: `${on}T12:00:00.000Z` } : {},
    );
    if (done?.status === 'applied') {
      setValues({});
      setInputs([emptyInput()]);
    }
  };
  const correct = async ({ record: old }: Was) => {
    const id = String(old['id']);
    const to = Object.fromEntries(
      Object.entries(facts()).filter(
        ([name, value]) => JSON.stringify(value) !== JSON.stringify(old[name]),
      ),
    );
    const done = await act.run(
      { kind, id, to, reason },
      `Correct ${KIND_WORDS[kind]} ${String(old['code'])}`,
    );
    if (done?.status === 'applied') go(`/origins/${kind}/${id}`);
  };
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (ready) void (was ? correct(was) : record());
      }}
    >
      <StepSearch choices={choices} />
      <div className="grid">
        {step.from && (
          <SelectField
            label={step.from.label}
            value={from}
            onChange={setFrom}
            empty="Choose one"
            choices={choices.withChosen(from)}
            error={act.errors.at(`${at}/${step.from.name}`)}
          />
        )}
        {step.fields.map((field) => (
          <OneField
            key={field.name}
            field={field}
            value={values[field.name] ?? null}
            error={act.errors.at(`${at}/${field.name}`)}
            onChange={(value) => {
              setValues({ ...values, [field.name]: value });
            }}
          />
        ))}
      </div>
      {step.inputs && (
        <InputFields
          of={step.inputs}
          inputs={inputs}
          onChange={setInputs}
          choices={choices}
          errorAt={(pointer) => act.errors.at(`${at}${pointer}`)}
        />
      )}
      {kind === 'ferment' && (
        <Notice>
          Sugar can ferment to at most 51.1 % of its weight in ethanol (Gay-Lussac’s equation). A
          ferment stronger than its fruit or grain allows is refused.
        </Notice>
      )}
      {kind === 'still-run' && (
        <Notice tone="caution">
          Spirit vapour burns and explodes; keep to your site’s risk assessment. Distilling needs a
          licence nearly everywhere: check with your authority.
        </Notice>
      )}
      {was && (
        <TextField
          label="Why it is corrected"
          hint="stays in the journal beside the old figures"
          value={reason}
          onChange={setReason}
          error={act.errors.at('/reason')}
        />
      )}
      <ActOutcome act={act} pointers={pointers} applied={was ? 'Corrected' : 'Recorded'} />
      <div className="form-foot">
        <Button type="submit" kind="main" busy={act.busy} disabled={!ready}>
          {was ? 'Correct it' : `Record ${step.a}`}
        </Button>
      </div>
    </form>
  );
}

const valuesOf = (step: Step, record: Was['record']): Readonly<Record<string, Value>> =>
  Object.fromEntries(step.fields.map(({ name }) => [name, record[name] as Value]));

/** What a record was made of, as the form shows it: a share of 0.07 as 7 %. */
function inputsOf({ inputs: of }: Step, record: Was['record']): readonly Input[] | null {
  if (!of) return null;
  const inputs = record['inputs'] as readonly Readonly<Record<string, string | number>>[];
  return inputs.map((input) => ({
    key: newId(),
    id: String(input[of.idName]),
    amount: Number((Number(input[of.amountName]) * of.per).toPrecision(12)),
  }));
}

const isGiven = (value: Value | undefined): boolean =>
  typeof value === 'string' ? value.trim() !== '' : typeof value === 'number';

function OneField({
  field: { as, label, unit = '', hint, optional },
  value,
  error,
  onChange,
}: {
  field: StepField;
  value: Value;
  error: string | undefined;
  onChange: (value: Value) => void;
}) {
  const words = {
    label,
    error,
    hint: optional ? `${hint ? `${hint}; ` : ''}optional` : hint,
  };
  const text = typeof value === 'string' ? value : '';
  if (as === 'number')
    return (
      <NumberField
        {...words}
        unit={unit}
        value={typeof value === 'number' ? value : null}
        onChange={onChange}
      />
    );
  if (as === 'date') return <DateField {...words} value={text} onChange={onChange} />;
  if (as === 'long') return <LongTextField {...words} value={text} onChange={onChange} />;
  return <TextField {...words} value={text} onChange={onChange} />;
}

/** What it was made of: one line each, with how much. */
function InputFields({
  of,
  inputs,
  onChange,
  choices,
  errorAt,
}: {
  of: NonNullable<Step['inputs']>;
  inputs: readonly Input[];
  onChange: (inputs: readonly Input[]) => void;
  choices: StepChoices;
  errorAt: (pointer: string) => string | undefined;
}) {
  const change = (key: string, to: Partial<Input>) => {
    onChange(inputs.map((input) => (input.key === key ? { ...input, ...to } : input)));
  };
  return (
    <fieldset className="field">
      <legend className="field-label">{of.label}</legend>
      <div className="stack">
        {inputs.map((input, i) => (
          <div className="grid" key={input.key}>
            <SelectField
              label={`${of.label}, ${String(i + 1)}`}
              hideLabel
              value={input.id}
              onChange={(id) => {
                change(input.key, { id });
              }}
              empty={of.mayBeEmpty ? 'None: bought in, or older than the records' : 'Choose one'}
              choices={choices.withChosen(input.id)}
              error={errorAt(`/inputs/${String(i)}/${of.idName}`)}
            />
            <NumberField
              label={`How much of it, ${String(i + 1)}`}
              hideLabel
              unit={of.unit}
              value={input.amount}
              onChange={(amount) => {
                change(input.key, { amount });
              }}
              error={errorAt(`/inputs/${String(i)}/${of.amountName}`)}
            />
          </div>
        ))}
        <div className="line">
          <Button
            onClick={() => {
              onChange([...inputs, emptyInput()]);
            }}
          >
            One more
          </Button>
          {inputs.length > 1 && (
            <Button
              onClick={() => {
                onChange(inputs.slice(0, -1));
              }}
            >
              One fewer
            </Button>
          )}
        </div>
      </div>
    </fieldset>
  );
}
