import type { BodyOf, StocktakeTally } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { Button, Failed, format, SelectField, TextField } from '../../kit/kit.ts';
import { allLines } from './lines.ts';

type Resolution = BodyOf<'stocktake.reconcile'>['resolutions'][number]['resolution'];
type Group = 'misplaced' | 'expected' | 'unknown';
type Choice = { resolution: Resolution; reason: string };

const GROUPS: Record<
  Group,
  { title: string; choices: readonly { value: Resolution; label: string }[] }
> = {
  misplaced: {
    title: 'Misplaced',
    choices: [
      { value: 'move-to-found', label: 'Book them where they were found' },
      { value: 'leave-as-book', label: 'Leave the book; they will be put back' },
    ],
  },
  expected: {
    title: 'Not found',
    choices: [
      { value: 'leave-as-book', label: 'Missing; keep their places in the book and look on' },
      { value: 'take-out-of-place', label: 'Missing; take them out of their places' },
    ],
  },
  unknown: {
    title: 'Unknown',
    choices: [{ value: 'note-unknown', label: 'Note them on the sheet' }],
  },
};

const settledWords = (tally: StocktakeTally): string =>
  tally.missing > 0
    ? 'Every difference has its reason; what was not found is on the sheet as missing.'
    : 'There is no difference: everything stands where the book has it.';

/** Says for each kind of difference what becomes of it, and why. Single lines can be settled before, by a second round. */
export function SettleForm({ stocktakeId, tally }: { stocktakeId: string; tally: StocktakeTally }) {
  const act = useAct('stocktake.reconcile');
  const [choices, setChoices] = useState<Record<Group, Choice>>({
    misplaced: { resolution: 'move-to-found', reason: '' },
    expected: { resolution: 'leave-as-book', reason: '' },
    unknown: { resolution: 'note-unknown', reason: '' },
  });
  const [missingReason, setMissingReason] = useState<Group | null>(null);
  const [error, setError] = useState<unknown>(null);
  const [busy, setBusy] = useState(false);
  const counts: Record<Group, number> = {
    misplaced: tally.misplaced,
    expected: tally.stillToFind,
    unknown: tally.unknown,
  };
  const groups = (Object.keys(GROUPS) as Group[]).filter((group) => counts[group] > 0);

  const settle = async () => {
    const unexplained = groups.find((group) => choices[group].reason.trim() === '');
    setMissingReason(unexplained ?? null);
    if (unexplained) return;
    setBusy(true);
    setError(null);
    try {
      const resolutions: BodyOf<'stocktake.reconcile'>['resolutions'] = [];
      for (const group of groups)
        for (const { line } of await allLines(stocktakeId, group))
          if (line.resolution === null) resolutions.push({ lineId: line.id, ...choices[group] });
      await act.run({ stocktakeId, resolutions }, 'Settle a stock-take');
    } catch (cause) {
      setError(cause);
    } finally {
      setBusy(false);
    }
  };
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void settle();
      }}
    >
      <p className="soft small">
        Each settled line becomes an adjustment with its reason. What a missing cask holds stays in
        its account until it is declared lost there, as local law asks.
      </p>
      {groups.length === 0 && <p>{settledWords(tally)}</p>}
      {groups.map((group) => (
        <fieldset key={group} className="field stack-tight">
          <legend className="field-label">
            {GROUPS[group].title}: {format.count(counts[group], 'line')}
          </legend>
          <SelectField
            label="What becomes of them"
            hideLabel
            value={choices[group].resolution}
            onChange={(resolution) => {
              setChoices({ ...choices, [group]: { ...choices[group], resolution } });
            }}
            choices={GROUPS[group].choices}
          />
          <TextField
            label="Why"
            value={choices[group].reason}
            onChange={(reason) => {
              setChoices({ ...choices, [group]: { ...choices[group], reason } });
            }}
            error={missingReason === group ? 'A reason is needed for the sheet' : undefined}
          />
        </fieldset>
      ))}
      {error !== null && <Failed error={error} />}
      <ActOutcome act={act} applied="Settled; a second person can sign now" />
      <div>
        <Button type="submit" kind="main" icon="check" busy={busy || act.busy}>
          Settle
        </Button>
      </div>
    </form>
  );
}
