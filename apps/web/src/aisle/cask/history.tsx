import type { HistoryLine } from '@rundlet/contracts';
import { useState, type ReactNode } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { Attachments } from '../../acts/attachments.tsx';
import { useAct } from '../../acts/use-act.ts';
import { useMay } from '../../data/session.tsx';
import { Button, Dialog, format, Mark, TextField } from '../../kit/kit.ts';
import './history.css';

/** Journal entries in words, newest first; a keeper can reverse one by another entry. */
export function History({ lines }: { lines: readonly HistoryLine[] }) {
  const may = useMay();
  return (
    <TakeBackList
      lines={lines}
      words={{ button: 'Reverse', dialog: 'Reverse an entry', done: 'reversed' }}
      offered={(line) => line.reversible && may('keep')}
    >
      {(line, onDone) => <ReverseForm line={line} onDone={onDone} />}
    </TakeBackList>
  );
}

/** Entries in words, and a dialog that takes one of them back; `children` is its form. */
export function TakeBackList({
  lines,
  words,
  offered,
  children,
}: {
  lines: readonly HistoryLine[];
  words: { readonly button: string; readonly dialog: string; readonly done: string };
  /** Whether this person may take the entry back here, were it not taken back already. */
  offered: (line: HistoryLine) => boolean;
  children: (line: HistoryLine, onDone: () => void) => ReactNode;
}) {
  const [chosen, setChosen] = useState<HistoryLine | null>(null);
  const close = () => {
    setChosen(null);
  };
  return (
    <>
      <ol className="history">
        {lines.map((line) => (
          <li key={line.id}>
            <span className="small soft">
              <time dateTime={line.happenedAt}>{format.dateTime(line.happenedAt)}</time>
              <br />
              {line.actorName}
            </span>
            <span>
              <span className={line.reversedBy ? 'undone' : undefined}>{line.words}</span>{' '}
              {line.reversedBy && (
                <Mark tone="caution" icon="undo">
                  {words.done}
                </Mark>
              )}
              <Attachments of={line.attachments} />
            </span>
            <span className="history-undo">
              {!line.reversedBy && offered(line) && (
                <Button
                  kind="quiet"
                  icon="undo"
                  onClick={() => {
                    setChosen(line);
                  }}
                >
                  {words.button}
                </Button>
              )}
            </span>
          </li>
        ))}
      </ol>
      <Dialog title={words.dialog} open={chosen !== null} onClose={close}>
        {chosen && children(chosen, close)}
      </Dialog>
    </>
  );
}

export function ReverseForm({
  line,
  onDone,
}: {
  line: Pick<HistoryLine, 'id' | 'words'>;
  onDone: () => void;
}) {
  const act = useAct('entry.reverse');
  const [reason, setReason] = useState('');
  const submit = async () => {
    const result = await act.run({ entryId: line.id, reason }, `Reverse: ${line.words}`);
    if (result?.status === 'applied') onDone();
  };
  return (
    <form
      className="stack"
      onSubmit={(event) => {
        event.preventDefault();
        void submit();
      }}
    >
      <p>{line.words}</p>
      <p className="soft small">
        Nothing is rubbed out: a second entry takes back what this one did, and both stay in the
        journal.
      </p>
      <TextField
        label="Why"
        value={reason}
        onChange={setReason}
        error={act.errors.at('/reason')}
        autoFocus
      />
      <ActOutcome act={act} pointers={['/reason']} />
      <div className="form-foot">
        <Button type="submit" kind="grave" icon="undo" busy={act.busy}>
          Reverse it
        </Button>
      </div>
    </form>
  );
}
