import type { HistoryLine, PlanView } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { History } from '../../aisle/cask/history.tsx';
import { useMay } from '../../data/session.tsx';
import { Button, Card, Dialog, format, Mark, TextField } from '../../kit/kit.ts';

/** What the plan's own work can undo as long as the vat is not recorded. */
const UNDOABLE = new Set(['cask.disgorge', 'vat.reduce', 'vat.gauge']);

/** What was done for the plan. Draws, water and gauges are undone until it is vatted; after that a keeper reverses. */
export function PlanHistory({ view }: { view: PlanView }) {
  const { plan, history } = view;
  const open = plan.status === 'reserved' || plan.status === 'drawing';
  return (
    <Card title="What was done">
      {open ? <UndoList planId={plan.id} lines={history} /> : <History lines={history} />}
    </Card>
  );
}

function UndoList({ planId, lines }: { planId: string; lines: readonly HistoryLine[] }) {
  const may = useMay();
  const [chosen, setChosen] = useState<HistoryLine | null>(null);
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
                  undone
                </Mark>
              )}
            </span>
            <span className="history-undo">
              {UNDOABLE.has(line.kind) && !line.reversedBy && may('warehouse') && (
                <Button
                  kind="quiet"
                  icon="undo"
                  onClick={() => {
                    setChosen(line);
                  }}
                >
                  Undo
                </Button>
              )}
            </span>
          </li>
        ))}
      </ol>
      <Dialog
        title="Undo"
        open={chosen !== null}
        onClose={() => {
          setChosen(null);
        }}
      >
        {chosen && (
          <UndoForm
            planId={planId}
            line={chosen}
            onDone={() => {
              setChosen(null);
            }}
          />
        )}
      </Dialog>
    </>
  );
}

function UndoForm({
  planId,
  line,
  onDone,
}: {
  planId: string;
  line: HistoryLine;
  onDone: () => void;
}) {
  const act = useAct('plan.take-back');
  const [reason, setReason] = useState('');
  const submit = async () => {
    const done = await act.run({ planId, entryId: line.id, reason }, `Undo: ${line.words}`);
    if (done?.status === 'applied') onDone();
  };
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void submit();
      }}
    >
      <p>{line.words}</p>
      <p className="soft small">Both this and its undoing stay in the journal.</p>
      <TextField
        label="Why"
        value={reason}
        onChange={setReason}
        error={act.errors.at('/reason')}
        autoFocus
      />
      <ActOutcome act={act} pointers={['/reason']} />
      <div className="form-foot">
        <Button
          type="submit"
          kind="grave"
          icon="undo"
          busy={act.busy}
          disabled={reason.trim() === ''}
        >
          Undo it
        </Button>
      </div>
    </form>
  );
}
