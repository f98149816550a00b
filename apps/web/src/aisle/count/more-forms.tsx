import type { Stocktake } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { Button, Dialog, TextField } from '../../kit/kit.ts';

/** Asks for every open difference to be counted again, best by somebody else. */
export function RecountForm({ stocktake }: { stocktake: Stocktake }) {
  const act = useAct('stocktake.recount');
  const [reason, setReason] = useState('Differences of the first round');
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void act.run(
          { stocktakeId: stocktake.id, lineIds: [], reason },
          `Ask for a recount in ${stocktake.title}`,
        );
      }}
    >
      <p className="soft small">
        Every difference that is not settled goes on the counters’ list, in walking order. Whoever
        counts again should not be who counted first.
      </p>
      <TextField label="Why" value={reason} onChange={setReason} error={act.errors.at('/reason')} />
      <ActOutcome act={act} pointers={['/reason']} applied="On the counters’ lists" />
      <div>
        <Button type="submit" icon="count" busy={act.busy}>
          Count the differences again
        </Button>
      </div>
    </form>
  );
}

/** Gives a stock-take up; what was counted stays on its sheet. */
export function AbandonButton({ stocktake }: { stocktake: Stocktake }) {
  const act = useAct('stocktake.abandon');
  const [open, setOpen] = useState(false);
  const [reason, setReason] = useState('');
  return (
    <>
      <Button
        kind="quiet"
        icon="cross"
        onClick={() => {
          setOpen(true);
        }}
      >
        Give it up
      </Button>
      <Dialog
        title="Give this stock-take up?"
        open={open}
        onClose={() => {
          setOpen(false);
        }}
      >
        <p>Nothing more is counted on it and nobody signs it. What was counted stays to be read.</p>
        <TextField
          label="Why"
          value={reason}
          onChange={setReason}
          error={act.errors.at('/reason')}
        />
        <ActOutcome act={act} pointers={['/reason']} applied="Given up" />
        <Button
          kind="grave"
          busy={act.busy}
          onClick={() =>
            void act.run({ stocktakeId: stocktake.id, reason }, `Give up ${stocktake.title}`)
          }
        >
          Give it up
        </Button>
      </Dialog>
    </>
  );
}
