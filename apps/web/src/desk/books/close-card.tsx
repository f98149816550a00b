import './return.css';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { ReverseForm } from '../../aisle/cask/history.tsx';
import { api, useApi } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import { Button, Card, Dialog, format, Loaded, Mark, Notice, SelectField } from '../../kit/kit.ts';

/** How far the account is closed; a keeper closes the months that are over, or takes the last close back. */
export function CloseCard() {
  const may = useMay();
  const query = useApi(api.books.state);
  return (
    <Card title="Closed months">
      <Loaded query={query} what="Asking how far the account is closed">
        {({ closedThrough, lastCloseEntryId, toClose, heldActs }) => (
          <div className="stack">
            <div className="line">
              {closedThrough === null ? (
                <Mark icon="info">no month is closed yet</Mark>
              ) : (
                <Mark tone="good" icon="lock">
                  closed through {closedThrough}
                </Mark>
              )}
              {closedThrough !== null && lastCloseEntryId !== null && may('keep') && (
                <TakeBack month={closedThrough} entryId={lastCloseEntryId} />
              )}
            </div>
            {toClose.length === 0 ? (
              <p>Nothing to close: the month that runs can be closed from the first of the next.</p>
            ) : may('keep') ? (
              <CloseForm key={toClose[0]} months={toClose} heldActs={heldActs} />
            ) : (
              <p>{format.count(toClose.length, 'month')} can be closed by a keeper.</p>
            )}
          </div>
        )}
      </Loaded>
    </Card>
  );
}

function CloseForm({ months, heldActs }: { months: readonly string[]; heldActs: number }) {
  const act = useAct('account.close-month');
  const [through, setThrough] = useState(months[0] ?? '');
  const [closing, setClosing] = useState<string | null>(null);
  const chosen = months.filter((month) => month <= through);
  const close = async () => {
    for (const month of chosen) {
      setClosing(month);
      const done = await act.run({ month }, `Close ${month}`);
      if (done?.status !== 'applied') break;
    }
    setClosing(null);
  };
  return (
    <form
      className="stack"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        void close();
      }}
    >
      <p>
        A closed month is locked: what comes later for it counts in the first open month, marked as
        a difference. Compare the figures with your vessels and papers first.
      </p>
      {heldActs > 0 && (
        <Notice tone="caution">
          {format.count(heldActs, 'entry', 'entries')} held for a keeper. Those of the month count
          in the next if they are settled after the close.
        </Notice>
      )}
      <div className="line close-row">
        <SelectField
          label="Close through"
          value={through}
          onChange={setThrough}
          choices={months.map((month) => ({ value: month, label: month }))}
          error={act.errors.at('/month')}
        />
        <Button kind="main" type="submit" icon="lock" busy={closing !== null}>
          {closing !== null
            ? `Closing ${closing}`
            : chosen.length === 1
              ? `Close ${through}`
              : `Close ${format.count(chosen.length, 'month')}`}
        </Button>
      </div>
      <ActOutcome act={act} pointers={['/month']} applied="Closed" />
    </form>
  );
}

function TakeBack({ month, entryId }: { month: string; entryId: string }) {
  const [open, setOpen] = useState(false);
  const close = () => {
    setOpen(false);
  };
  return (
    <>
      <Button
        kind="quiet"
        icon="undo"
        onClick={() => {
          setOpen(true);
        }}
      >
        Open {month} again
      </Button>
      <Dialog title={`Take back the close of ${month}`} open={open} onClose={close}>
        <ReverseForm line={{ id: entryId, words: `${month} closed and locked.` }} onDone={close} />
      </Dialog>
    </>
  );
}
