import type { BodyOf } from '@rundlet/contracts';
import { useState } from 'react';
import { useParams, useSearch } from 'wouter';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { newId } from '../../acts/act.ts';
import { useAct } from '../../acts/use-act.ts';
import {
  Button,
  DateField,
  Empty,
  LinkButton,
  LongTextField,
  Notice,
  NumberField,
  Page,
  SelectField,
  TextField,
} from '../../kit/kit.ts';
import { isStepKind, STEP, type Step, type StepField, type StepKind } from './steps.ts';
import { useStepChoices, type StepChoice } from './use-step-choices.ts';

/** Records one step of the chain: a plot, a harvest lot, a ferment, a run or a spirit lot. */
export default function StepPage() {
  const { kind = '' } = useParams<{ kind: string }>();
  if (!isStepKind(kind))
    return (
      <Page title="Record">
        <Empty title="There is no such step">Choose one from the page of plots and lots.</Empty>
      </Page>
    );
  return <StepForm key={kind} kind={kind} />;
}

type Value = string | number | null;
interface Input {
  readonly key: string;
  readonly id: string;
  readonly amount: number | null;
}
const emptyInput = (): Input => ({ key: newId(), id: '', amount: null });

function StepForm({ kind }: { kind: StepKind }) {
  const step: Step = STEP[kind];
  const given = new URLSearchParams(useSearch()).get('of') ?? '';
  const [values, setValues] = useState<Readonly<Record<string, Value>>>({});
  const [from, setFrom] = useState(given);
  const [inputs, setInputs] = useState<readonly Input[]>([{ ...emptyInput(), id: given }]);
  const act = useAct(step.act);
  const choices = useStepChoices(step.from?.kind ?? step.inputs?.kind);
  const pointers = [
    ...step.fields.map(({ name }) => `/${name}`),
    ...(step.from ? [`/${step.from.name}`] : []),
    ...inputs.flatMap((_, i) =>
      step.inputs
        ? [
            `/inputs/${String(i)}/${step.inputs.idName}`,
            `/inputs/${String(i)}/${step.inputs.amountName}`,
          ]
        : [],
    ),
  ];
  const used = inputs.filter((input) => input.id !== '' || input.amount !== null);
  const ready =
    step.fields.every(({ name, optional }) => optional || isGiven(values[name])) &&
    (!step.from || from !== '') &&
    (!step.inputs ||
      ((step.inputs.mayBeEmpty === true || used.length > 0) &&
        used.every((input) => input.id !== '' && input.amount !== null)));

  const record = async () => {
    const body = {
      id: newId(),
      ...Object.fromEntries(
        step.fields.map(({ name }) => {
          const value = values[name] ?? null;
          return [name, typeof value === 'string' ? value.trim() || null : value];
        }),
      ),
      ...(step.from ? { [step.from.name]: from } : {}),
      ...(step.inputs
        ? {
            inputs: used.map((input) => ({
              [step.inputs?.idName ?? '']: input.id,
              [step.inputs?.amountName ?? '']: (input.amount ?? 0) / (step.inputs?.per ?? 1),
            })),
          }
        : {}),
    };
    const on = step.happened === undefined ? null : values[step.happened];
    const done = await act.run(
      body as unknown as BodyOf<typeof step.act>,
      `Record ${step.a} ${String(values['code'] ?? '')}`,
      typeof on === 'string' ? { happenedAt: `${on}T12:00:00.000Z` } : {},
    );
    if (done?.status === 'applied') {
      setValues({});
      setInputs([emptyInput()]);
    }
  };
  return (
    <Page
      title={`Record ${step.a}`}
      lead="What is recorded stays in the journal. A keeper can take an entry back there and it is entered anew."
      narrow
      actions={<LinkButton to="/origins">Plots and lots</LinkButton>}
    >
      <form
        className="stack"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          if (ready) void record();
        }}
      >
        <div className="grid">
          {step.from && (
            <SelectField
              label={step.from.label}
              value={from}
              onChange={setFrom}
              empty="Choose one"
              choices={choices}
              error={act.errors.at(`/${step.from.name}`)}
            />
          )}
          {step.fields.map((field) => (
            <OneField
              key={field.name}
              field={field}
              value={values[field.name] ?? null}
              error={act.errors.at(`/${field.name}`)}
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
            errorAt={(pointer) => act.errors.at(pointer)}
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
            Spirit vapour burns and explodes; keep to your site’s risk assessment. Distilling needs
            a licence nearly everywhere: check with your authority.
          </Notice>
        )}
        <ActOutcome act={act} pointers={pointers} applied="Recorded" />
        <div className="form-foot">
          <Button type="submit" kind="main" busy={act.busy} disabled={!ready}>
            Record {step.a}
          </Button>
        </div>
      </form>
    </Page>
  );
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
  choices: readonly StepChoice[];
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
              choices={choices}
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
