import { GAUGING_SOURCES } from '@rundlet/gauging';
import {
  Figure,
  Figures,
  Notice,
  NumberField,
  SelectField,
  type FieldErrors,
} from '../../kit/kit.ts';
import type { MeasuresDraft, Worked } from './measures.ts';

const FIGURES: readonly { value: MeasuresDraft['figure']; label: string }[] = [
  { value: 'parabolic-spindle', label: 'Spindle: the usual cask' },
  { value: 'spheroid', label: 'Spheroid: very full staves' },
  { value: 'paraboloid', label: 'Two paraboloids: flatter' },
  { value: 'cone', label: 'Two cones: straight staves' },
  { value: 'fitted', label: 'Fitted to a measured fill' },
];
type NumberKey = Exclude<keyof MeasuresDraft, 'figure'>;

/** Tare, brim-full litres and inside lengths of a cask, with the litres the lengths give. */
export function MeasureFields({
  draft,
  onChange,
  worked,
  errors,
}: {
  draft: MeasuresDraft;
  onChange: (draft: MeasuresDraft) => void;
  worked: Worked;
  errors: FieldErrors;
}) {
  const number = (key: NumberKey, label: string, unit: string, pointer: string, hint?: string) => (
    <NumberField
      label={label}
      unit={unit}
      {...(hint === undefined ? {} : { hint })}
      value={draft[key]}
      onChange={(value) => {
        onChange({ ...draft, [key]: value });
      }}
      error={errors.at(pointer)}
    />
  );
  return (
    <div className="stack">
      <div className="grid">
        {number('tareKg', 'Empty weight', 'kg', '/tareKg')}
        {number('capacityLitres', 'Brim-full', 'L', '/capacityLitres', 'As metered or weighed')}
        {number('bilgeMm', 'Bilge diameter inside', 'mm', '/geometry/bilgeDiameterMm')}
        {number('headMm', 'Head diameter inside', 'mm', '/geometry/headDiameterMm')}
        {number('lengthMm', 'Length inside', 'mm', '/geometry/lengthMm')}
        <SelectField
          label="How the staves run"
          value={draft.figure}
          choices={FIGURES}
          onChange={(figure) => {
            onChange({ ...draft, figure });
          }}
          error={errors.at('/geometry/figure')}
        />
        {draft.figure === 'fitted' && (
          <>
            {number('fillLitres', 'Litres put in', 'L', '/fill', 'By meter or weight')}
            {number('fillWetDipMm', 'Wet dip they showed', 'mm', '/dip', 'Lying, at the bung')}
          </>
        )}
      </div>
      {worked.status === 'impossible' && (
        <Notice tone="bad" live title="These measures cannot be">
          {worked.message}
        </Notice>
      )}
      {worked.status === 'ready' && (
        <Figures>
          <Figure
            label="Brim-full by these lengths"
            value={worked.litres}
            unit="L"
            origin="calculated"
            note={GAUGING_SOURCES.capacity}
          />
          {typeof worked.geometry.figure === 'object' && (
            <Figure
              label="Fullness of the staves"
              value={worked.geometry.figure.fullness}
              unit="(2 is a spheroid, 1 a paraboloid)"
              decimals={2}
              origin="calculated"
              note="so that lengths and dip give the litres put in"
            />
          )}
        </Figures>
      )}
    </div>
  );
}
