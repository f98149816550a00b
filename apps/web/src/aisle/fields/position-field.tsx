import { useMemo, useState } from 'react';
import { useAisle } from '../../data/aisle.ts';
import { positionShort, positionWords, type AislePosition } from '../../data/aisle-index.ts';
import { resolveHere, resolveScan } from '../../data/resolve.ts';
import { searchPositions, type ToPut } from '../../data/room.ts';
import { Button, Dialog, FieldError, TextField } from '../../kit/kit.ts';
import { useScans } from '../../shell/wedge.ts';
import { signal } from '../reader/signal.ts';
import { ReaderDialog } from './reader-dialog.tsx';
import { SuggestedPlaces } from './suggested-places.tsx';

const NONE: readonly string[] = [];

export interface ChosenPosition {
  id: string;
  code: string;
  words: string;
}
export const chosen = (position: AislePosition): ChosenPosition => ({
  id: position.id,
  code: position.code,
  words: positionWords(position),
});

/** A rack position: scanned, typed as row-bay-level-slot, or one of those suggested for the cask. */
export function PositionField({
  label = 'Rack position',
  cask,
  vatId = null,
  value,
  onChange,
  error,
  afterId = null,
  alsoTaken = NONE,
  takesScans = true,
}: {
  label?: string;
  /** Whom the place is for; null until that is known. */
  cask: ToPut | null;
  /** The vat it is about to be filled from, which says its parcel. */
  vatId?: string | null;
  value: ChosenPosition | null;
  onChange: (position: ChosenPosition | null) => void;
  error?: string | undefined;
  /** One comes from here. */
  afterId?: string | null;
  alsoTaken?: readonly string[];
  /** Off where the page takes hand scans for something else. */
  takesScans?: boolean;
}) {
  const { index } = useAisle();
  const [text, setText] = useState('');
  const [problem, setProblem] = useState<string | null>(null);
  const [reading, setReading] = useState(false);

  const take = async (scanned: string): Promise<void> => {
    setProblem(null);
    setReading(false);
    const match = resolveHere(scanned) ?? (await resolveScan(scanned)).matches[0];
    if (match?.kind === 'position') {
      signal('good');
      onChange({ id: match.id, code: match.code, words: match.line });
      setText('');
      return;
    }
    signal('doubtful');
    setProblem(
      match
        ? `${match.code} is a ${match.kind}, not a rack position.`
        : `No rack position answers to “${scanned}”.`,
    );
  };
  useScans((scanned) => void take(scanned), takesScans && !reading);

  const offers = useMemo(
    () => (index && text.trim() !== '' ? searchPositions(index, text) : []),
    [index, text],
  );
  const choose = (position: AislePosition): void => {
    onChange(chosen(position));
    setText('');
    setProblem(null);
  };

  if (value)
    return (
      <div className="field">
        <span className="field-label">{label}</span>
        <div className="card line-spread">
          <span>
            <strong>{value.words}</strong> <span className="code small soft">{value.code}</span>
          </span>
          <Button
            onClick={() => {
              onChange(null);
            }}
          >
            Choose another
          </Button>
        </div>
        <FieldError id="position-error" error={error} />
      </div>
    );
  return (
    <div className="stack-tight">
      <TextField
        label={label}
        hint="Scan its label, or type row, bay, level and slot: A 3 2 1"
        value={text}
        onChange={setText}
        error={error ?? problem ?? undefined}
        autoCapitalize="characters"
        autoComplete="off"
      />
      <div className="line">
        <Button
          icon="scan"
          onClick={() => {
            setReading(true);
          }}
        >
          Scan it
        </Button>
        {offers.map((position) => (
          <Button
            key={position.id}
            onClick={() => {
              choose(position);
            }}
          >
            <span className="visually-hidden">{positionWords(position)}</span>
            <span aria-hidden="true">{positionShort(position)}</span>
          </Button>
        ))}
      </div>
      {cask && text.trim() === '' && (
        <SuggestedPlaces
          cask={cask}
          vatId={vatId}
          fromId={afterId}
          alsoTaken={alsoTaken}
          onChoose={choose}
        />
      )}
      <Dialog
        title="Scan the rack position"
        open={reading}
        onClose={() => {
          setReading(false);
        }}
      >
        <ReaderDialog onText={(scanned) => void take(scanned)} />
      </Dialog>
    </div>
  );
}
