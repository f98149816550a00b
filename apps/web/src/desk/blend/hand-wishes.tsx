import { Button, CheckField, ChoiceField, format } from '../../kit/kit.ts';
import { CaskChips } from './cask-chips.tsx';
import type { WishFormPart } from './number-wish.tsx';
import type { Vocabulary } from './vocabulary.ts';

/** Casks in, out and kept by hand; holds that don't count; the duty status. */
export function HandWishes({ part, vocabulary }: { part: WishFormPart; vocabulary: Vocabulary }) {
  const { wishes, change } = part;
  const holds = [...new Set([...vocabulary.holds, ...wishes.admitHolds])];
  return (
    <>
      <div className="grid">
        <CaskChips
          label="Must be in it"
          casks={wishes.include}
          onChange={(include) => {
            change({ include });
          }}
        />
        <CaskChips
          label="Must stay out"
          casks={wishes.exclude}
          onChange={(exclude) => {
            change({ exclude });
          }}
        />
      </div>
      {wishes.locks.length > 0 && (
        <div className="field">
          <span className="field-label">Kept, the rest planned again</span>
          <ul className="line bare-list">
            {wishes.locks.map((lock) => (
              <li key={lock.id}>
                <Button
                  icon="lock"
                  onClick={() => {
                    change({ locks: wishes.locks.filter(({ id }) => id !== lock.id) });
                  }}
                >
                  <span className="visually-hidden">Don’t keep </span>
                  {lock.code}
                  {lock.litres !== null && `, ${format.litres(lock.litres)}`}
                </Button>
              </li>
            ))}
          </ul>
          <div>
            <Button
              kind="quiet"
              icon="cross"
              onClick={() => {
                change({ locks: [] });
              }}
            >
              Keep none
            </Button>
          </div>
        </div>
      )}
      <ChoiceField
        label="Duty"
        hint="A vat takes one of the two only. Of either, what is under suspension must be released before the plan is reserved."
        value={wishes.dutyStatus}
        onChange={(dutyStatus) => {
          change({ dutyStatus });
        }}
        choices={[
          { value: 'suspended', label: 'Under suspension' },
          { value: 'paid', label: 'Duty-paid' },
          { value: 'either', label: 'Either' },
        ]}
      />
      <fieldset className="field">
        <legend className="field-label">Casks on hold</legend>
        <span className="field-hint">
          They stay out unless the hold is admitted here. Reserving still asks for the hold to be
          lifted.
        </span>
        {holds.length === 0 && <p>No maturing cask is on hold.</p>}
        {holds.map((reason) => (
          <CheckField
            key={reason}
            checked={wishes.admitHolds.includes(reason)}
            onChange={(checked) => {
              change({
                admitHolds: checked
                  ? [...wishes.admitHolds, reason]
                  : wishes.admitHolds.filter((one) => one !== reason),
              });
            }}
          >
            may be planned with: {reason}
          </CheckField>
        ))}
      </fieldset>
    </>
  );
}
