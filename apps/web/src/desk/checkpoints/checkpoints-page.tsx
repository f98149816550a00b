import { useMutation } from '@tanstack/react-query';
import { useState } from 'react';
import { Link, useLocation } from 'wouter';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { api, client, queries, useApi } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import {
  Button,
  Card,
  Empty,
  Failed,
  format,
  Loaded,
  Notice,
  NumberField,
  Page,
  Table,
} from '../../kit/kit.ts';
import { Paged } from '../paged/paged.tsx';
import { usePages } from '../paged/use-pages.ts';

/** Signed remarks of how the journal stood, to be kept where whoever could change it cannot reach. */
export default function CheckpointsPage() {
  const may = useMay();
  const [, go] = useLocation();
  const { list, rows, onEnd } = usePages(api.journal.checkpoints);
  const sign = useMutation({
    mutationFn: () => client.call(api.journal.signCheckpoint),
    onSuccess: ({ id }) => {
      void queries.invalidateQueries();
      go(`/checkpoints/${id}`);
    },
  });
  return (
    <Page
      title="Checkpoints"
      lead="A checkpoint signs the journal’s last hash. Print it or mail it away: held against the journal later, it shows whether any entry before it was changed."
      actions={
        may('keep') && (
          <Button
            kind="main"
            icon="lock"
            busy={sign.isPending}
            onClick={() => {
              sign.mutate();
            }}
          >
            Sign one now
          </Button>
        )
      }
    >
      {sign.isError && <Failed error={sign.error} />}
      <Card title="Signed so far">
        <Paged
          list={list}
          rows={rows}
          what="Fetching checkpoints"
          empty={
            <Empty title="None signed yet">
              One is signed by itself every day there is something new.
            </Empty>
          }
        >
          <Table
            caption="Signed checkpoints"
            rows={rows}
            rowKey={(r) => r.id}
            columns={[
              {
                key: 'at',
                title: 'Signed',
                cell: (r) => <Link href={`/checkpoints/${r.id}`}>{format.dateTime(r.at)}</Link>,
              },
              { key: 'seq', title: 'Entries', numeric: true, cell: (r) => format.number(r.seq) },
              {
                key: 'hash',
                title: 'Last hash',
                cell: (r) => <span className="code">{r.hash.slice(0, 16)}…</span>,
              },
              {
                key: 'key',
                title: 'Key',
                cell: (r) => <span className="code">{r.keyId.slice(0, 10)}…</span>,
              },
            ]}
          />
          {onEnd && (
            <Button busy={list.isFetchingNextPage} onClick={onEnd}>
              Earlier ones
            </Button>
          )}
        </Paged>
      </Card>
      <KeysCard />
      {may('administer') && <IntervalCard />}
    </Page>
  );
}

function KeysCard() {
  const may = useMay();
  const query = useApi(api.journal.keys);
  const change = useMutation({
    mutationFn: () => client.call(api.journal.changeKey),
    onSuccess: () => void queries.invalidateQueries(),
  });
  return (
    <Card title="Keys">
      <div className="stack">
        <p>
          Note the key in use on paper. Anybody may fetch the public halves at{' '}
          <span className="code">/api/public-keys</span>; the private one stays in the server’s data
          folder.
        </p>
        <Loaded query={query} what="Fetching keys">
          {({ rows }) =>
            rows.length === 0 ? (
              <Empty title="No key yet">The first checkpoint makes one.</Empty>
            ) : (
              <Table
                caption="Keys that sign, newest first"
                rows={rows}
                rowKey={(r) => r.id}
                columns={[
                  { key: 'id', title: 'Key', cell: (r) => <span className="code">{r.id}</span> },
                  { key: 'since', title: 'Since', cell: (r) => format.date(r.announcedAt) },
                  {
                    key: 'state',
                    title: 'State',
                    cell: (r) =>
                      r.retiredAt === null ? 'in use' : `until ${format.date(r.retiredAt)}`,
                  },
                  {
                    key: 'follows',
                    title: 'Endorsed by',
                    cell: (r) =>
                      r.follows === null ? (
                        'nobody: a first key'
                      ) : (
                        <span className="code">{r.follows.slice(0, 10)}…</span>
                      ),
                  },
                ]}
              />
            )
          }
        </Loaded>
        {change.isError && <Failed error={change.error} />}
        {may('administer') && (
          <div>
            <Button
              busy={change.isPending}
              onClick={() => {
                change.mutate();
              }}
            >
              Change to a new key
            </Button>
          </div>
        )}
      </div>
    </Card>
  );
}

function IntervalCard() {
  const [hours, setHours] = useState<number | null>(24);
  const act = useAct('setting.set');
  const wrong = hours === null || hours < 0 || hours > 8784;
  return (
    <Card title="How often">
      <form
        className="stack"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          if (wrong) return;
          void act.run(
            {
              key: 'journal.checkpoint-hours',
              value: hours,
              effectiveFrom: new Date().toISOString().slice(0, 10),
            },
            `Set a checkpoint every ${String(hours)} hours`,
          );
        }}
      >
        <NumberField
          label="Hours between checkpoints"
          unit="h"
          value={hours}
          onChange={setHours}
          hint="0: none by itself. In force from today."
          error={wrong ? 'a number of hours between 0 and 8784 is needed' : undefined}
        />
        <ActOutcome act={act} pointers={[]} applied="Set" />
        <div>
          <Button type="submit" busy={act.busy} disabled={wrong}>
            Set
          </Button>
        </div>
        <Notice>
          A checkpoint that stays on this machine protects nothing: keep a copy elsewhere.
        </Notice>
      </form>
    </Card>
  );
}
