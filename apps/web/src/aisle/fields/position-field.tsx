import { useMemo, useState } from 'react';
import { useAisle } from '../../data/aisle.ts';
import { positionShort, positionWords, type AislePosition } from '../../data/aisle-index.ts';
import { resolveHere, resolveScan } from '../../data/resolve.ts';
import { positionsWithRoom, searchPositions } from '../../data/room.ts';
import { Button, Dialog, FieldError, Notice, TextField } from '../../kit/kit.ts';
import { useScans } from '../../shell/wedge.ts';
import { signal } from '../reader/signal.ts';
import { ReaderDialog } from './reader-dialog.tsx';

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

/** A rack position: scanned, typed as row-bay-level-slot, or one of those with room. */
export function PositionField({
  label = 'Rack position',
  value,
  onChange,
  error,
  afterId = null,
  alsoTaken = [],
  takesScans = true,
}: {
  label?: string;
  value: ChosenPosition | null;
  onChange: (position: ChosenPosition | null) => void;
  error?: string | undefined;
  /** Suggestions begin after this position. */
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

  const offers = useMemo(() => {
    if (!index) return [];
    return text.trim() === ''
      ? positionsWithRoom(index, { afterId, alsoTaken }).slice(0, 4)
      : searchPositions(index, text);
  }, [index, text, afterId, alsoTaken]);

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
              onChange(chosen(position));
              setText('');
              setProblem(null);
            }}
          >
            <span className="visually-hidden">{positionWords(position)}</span>
            <span aria-hidden="true">{positionShort(position)}</span>
          </Button>
        ))}
      </div>
      {offers.length > 0 && text.trim() === '' && (
        <span className="field-hint">
          With room, next along the rack, by what this device knows
        </span>
      )}
      {!index && <Notice>Choose the store of this device to get suggestions.</Notice>}
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
