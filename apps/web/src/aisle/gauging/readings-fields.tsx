import { ChoiceField, NumberField, type FieldErrors } from '../../kit/kit.ts';
import type { Method, ReadingsDraft } from './readings-draft.ts';
import { StrengthFields } from './strength-fields.tsx';

const METHOD_WORDS: Record<Method, string> = {
  dip: 'Wet dip',
  ullage: 'Dry dip (ullage)',
  weight: 'Weight',
  meter: 'Meter',
  declared: 'From a document',
};
export const CASK_METHODS: readonly Method[] = ['dip', 'ullage', 'weight', 'meter', 'declared'];
/** A vat has no geometry in the book, so it is weighed, metered, or read off its own table. */
export const VAT_METHODS: readonly Method[] = ['meter', 'weight', 'declared'];

/** The instruments' readings of one gauging. */
export function ReadingsFields({
  draft,
  onChange,
  methods = CASK_METHODS,
  errors,
  base = '/readings',
  autoFocus = false,
}: {
  draft: ReadingsDraft;
  onChange: (draft: ReadingsDraft) => void;
  methods?: readonly Method[];
  errors: FieldErrors;
  /** JSON pointer of the readings in the act's body. */
  base?: string;
  autoFocus?: boolean;
}) {
  const change = (part: Partial<ReadingsDraft>): void => {
    onChange({ ...draft, ...part });
  };
  const { method } = draft;
  const number = (key: NumericKey, label: string, unit: string, hint?: string) => (
    <NumberField
      label={label}
      unit={unit}
      {...(hint === undefined ? {} : { hint })}
      value={draft[key]}
      onChange={(value) => {
        change({ [key]: value });
      }}
      error={errors.at(`${base}/${POINTER[key] ?? key}`)}
    />
  );
  return (
    <div className="stack">
      <ChoiceField
        label="Measured by"
        value={method}
        onChange={(next) => {
          change({ method: next });
        }}
        choices={methods.map((value) => ({ value, label: METHOD_WORDS[value] }))}
        error={errors.at(base)}
      />
      {(method === 'dip' || method === 'ullage') && (
        <ChoiceField
          label="The cask is"
          hint="Lying it is dipped at the bung, standing through the head"
          value={draft.orientation}
          onChange={(orientation) => {
            change({ orientation });
          }}
          choices={[
            { value: 'lying', label: 'Lying' },
            { value: 'standing', label: 'Standing' },
          ]}
        />
      )}
      <div className="grid-tight">
        {method === 'dip' && (
          <NumberField
            label="Wet dip"
            unit="mm"
            hint="From the lowest point up to the surface"
            value={draft.wetDipMm}
            onChange={(wetDipMm) => {
              change({ wetDipMm });
            }}
            error={errors.at(`${base}/wetDipMm`)}
            autoFocus={autoFocus}
          />
        )}
        {method === 'ullage' &&
          number('dryDipMm', 'Dry dip', 'mm', 'From the top down to the surface')}
        {method === 'weight' && number('grossKg', 'Full weight', 'kg')}
        {method === 'weight' && number('tareKg', 'Empty weight', 'kg', 'Marked or weighed')}
        {method === 'meter' && number('litres', 'Meter', 'L', 'At the liquid’s temperature')}
        {method === 'declared' && number('declaredLitresAt20C', 'Bulk at 20 °C', 'L')}
        {method === 'declared' && number('declaredPercentVol', 'Strength at 20 °C', '% vol')}
        {method !== 'declared' && number('liquidTemperatureC', 'Liquid temperature', '°C')}
      </div>
      {method !== 'declared' && <StrengthFields {...{ draft, change, errors, base }} />}
    </div>
  );
}

type NumericKey =
  | 'dryDipMm'
  | 'grossKg'
  | 'tareKg'
  | 'litres'
  | 'declaredLitresAt20C'
  | 'declaredPercentVol'
  | 'liquidTemperatureC';
const POINTER: Partial<Record<NumericKey, string>> = {
  declaredLitresAt20C: 'bulkLitresAt20C',
  declaredPercentVol: 'strengthPercentVol',
};
