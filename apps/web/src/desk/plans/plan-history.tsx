import type { HistoryLine, PlanView } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { History, TakeBackList } from '../../aisle/cask/history.tsx';
import { useMay } from '../../data/session.tsx';
import { Button, Card, TextField } from '../../kit/kit.ts';

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
  return (
    <TakeBackList
      lines={lines}
      words={{ button: 'Undo', dialog: 'Undo', done: 'undone' }}
      offered={(line) => UNDOABLE.has(line.kind) && may('warehouse')}
    >
      {(line, onDone) => <UndoForm planId={planId} line={line} onDone={onDone} />}
    </TakeBackList>
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
