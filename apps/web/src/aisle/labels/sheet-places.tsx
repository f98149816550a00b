import type { LabelTemplateInfo } from '@rundlet/contracts';
import { format } from '../../kit/kit.ts';
import './sheet-places.css';

/** The sheet as it lies before you: tap the first free label. What this run will take is filled in. */
export function SheetPlaces({
  template,
  start,
  count,
  onChange,
}: {
  template: LabelTemplateInfo;
  start: number;
  /** Labels of this run. */
  count: number;
  onChange: (start: number) => void;
}) {
  const { perSheet, columns } = template;
  const sheets = Math.ceil((start - 1 + count) / perSheet);
  return (
    <fieldset className="field">
      <legend className="field-label">First free place on the sheet</legend>
      <span className="field-hint">
        Tap where this run begins; places before it are used already.{' '}
        {count > 0 && `${format.count(count, 'label')} take ${format.count(sheets, 'sheet')}.`}
      </span>
      <div
        className="sheet-places"
        style={{ gridTemplateColumns: `repeat(${String(columns)}, 1fr)` }}
      >
        {Array.from({ length: perSheet }, (_, index) => index + 1).map((place) => (
          <button
            key={place}
            type="button"
            className="sheet-place"
            aria-pressed={place === start}
            aria-label={`Begin at place ${String(place)}`}
            data-state={place < start ? 'used' : place < start + count ? 'printed' : 'left'}
            onClick={() => {
              onChange(place);
            }}
          >
            {place}
          </button>
        ))}
      </div>
    </fieldset>
  );
}
