import './return.css';
import {
  ALLOWANCE_BASES,
  LOSS_CAUSES,
  TERMS_SETTING,
  type AccountTerms,
  type AllowanceRule,
  type DutyTerms,
} from '@rundlet/contracts';
import { BASE_WORDS, CAUSE_WORDS, ROUNDING_WORDS } from '@rundlet/domain';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import {
  Button,
  CheckField,
  DateField,
  LongTextField,
  NumberField,
  SelectField,
  TextField,
} from '../../kit/kit.ts';
import { UnitField } from './account-fields.tsx';

type Rule = { percent: number | null; of: AllowanceRule['of'] };
type Duty = Omit<DutyTerms, 'rate'> & { rate: number | null };

const NO_DUTY: Duty = {
  currency: '',
  rate: null,
  per: 'litre-pure-alcohol',
  strengthRounding: 'none',
};
const choicesOf = <K extends string>(words: Record<K, string>, keys: readonly K[]) =>
  keys.map((value) => ({ value, label: words[value] }));

/** New terms, begun from those before. */
export function TermsForm({ before }: { before: AccountTerms | null }) {
  const act = useAct('setting.set');
  const [effectiveFrom, setFrom] = useState('');
  const [unit, setUnit] = useState(before?.unit ?? 'litres-pure-alcohol');
  const [rules, setRules] = useState<Partial<Record<AllowanceRule['cause'], Rule>>>(
    Object.fromEntries(before?.allowances.map((rule) => [rule.cause, rule]) ?? []),
  );
  const [duty, setDuty] = useState<Duty | null>(before?.duty ?? null);
  const [reference, setReference] = useState(before?.reference ?? '');
  const wanted = LOSS_CAUSES.flatMap((cause) => {
    const rule = rules[cause];
    return rule ? { cause, ...rule } : [];
  });
  const pointerOf = (cause: string) =>
    `/value/allowances/${String(wanted.findIndex((rule) => rule.cause === cause))}/percent`;
  const ready =
    effectiveFrom !== '' && wanted.every((r) => r.percent !== null) && duty?.rate !== null;
  const submit = () => {
    void act.run(
      {
        key: TERMS_SETTING,
        effectiveFrom,
        value: { unit, allowances: wanted, duty, reference },
      },
      `New terms of the account from ${effectiveFrom}`,
    );
  };
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (ready) submit();
      }}
    >
      <DateField
        label="In force from"
        hint="Not in a closed month; its terms stand"
        value={effectiveFrom}
        onChange={setFrom}
        error={act.errors.at('/effectiveFrom')}
      />
      <UnitField value={unit} onChange={setUnit} />
      {LOSS_CAUSES.map((cause) => {
        const rule = rules[cause];
        const change = (part: Partial<Rule> | null) => {
          setRules((all) => {
            const { [cause]: old, ...others } = all;
            return part === null
              ? others
              : { ...others, [cause]: { percent: null, of: ALLOWANCE_BASES[0], ...old, ...part } };
          });
        };
        return (
          <fieldset className="rule" key={cause}>
            <CheckField
              checked={rule !== undefined}
              onChange={(on) => {
                change(on ? {} : null);
              }}
            >
              Allowance for {CAUSE_WORDS[cause].toLowerCase()}
            </CheckField>
            {rule && (
              <div className="grid">
                <NumberField
                  label={`Allowed, ${CAUSE_WORDS[cause].toLowerCase()}`}
                  unit="%"
                  value={rule.percent}
                  onChange={(percent) => {
                    change({ percent });
                  }}
                  error={act.errors.at(pointerOf(cause))}
                />
                <SelectField
                  label="Of what"
                  value={rule.of}
                  onChange={(of) => {
                    change({ of });
                  }}
                  choices={choicesOf(BASE_WORDS, ALLOWANCE_BASES)}
                />
              </div>
            )}
          </fieldset>
        );
      })}
      <CheckField
        checked={duty !== null}
        onChange={(on) => {
          setDuty(on ? NO_DUTY : null);
        }}
      >
        A rate of duty, for estimates
      </CheckField>
      {duty && (
        <div className="grid">
          <TextField
            label="Currency"
            hint="ISO 4217, like EUR"
            value={duty.currency}
            onChange={(currency) => {
              setDuty({ ...duty, currency: currency.toUpperCase() });
            }}
            error={act.errors.at('/value/duty/currency')}
          />
          <NumberField
            label="Rate"
            unit={duty.currency || 'money'}
            value={duty.rate}
            onChange={(rate) => {
              setDuty({ ...duty, rate });
            }}
            error={act.errors.at('/value/duty/rate')}
          />
          <SelectField
            label="For each"
            value={duty.per}
            onChange={(per) => {
              setDuty({ ...duty, per });
            }}
            choices={[
              { value: 'litre-pure-alcohol', label: 'litre of pure alcohol' },
              { value: 'proof-gallon', label: 'US proof gallon' },
            ]}
          />
          <SelectField
            label="Strength for duty"
            value={duty.strengthRounding}
            onChange={(strengthRounding) => {
              setDuty({ ...duty, strengthRounding });
            }}
            choices={choicesOf(
              ROUNDING_WORDS,
              Object.keys(ROUNDING_WORDS) as DutyTerms['strengthRounding'][],
            )}
          />
        </div>
      )}
      <LongTextField
        label="Written down in"
        hint="The notice, permit or letter these terms come from"
        value={reference}
        onChange={setReference}
        error={act.errors.at('/value/reference')}
      />
      <ActOutcome
        act={act}
        pointers={[
          '/effectiveFrom',
          '/value/reference',
          '/value/duty/rate',
          '/value/duty/currency',
          ...wanted.map((rule) => pointerOf(rule.cause)),
        ]}
        applied="Set"
      />
      <div>
        <Button kind="main" type="submit" busy={act.busy} disabled={!ready}>
          Set these terms
        </Button>
      </div>
    </form>
  );
}
