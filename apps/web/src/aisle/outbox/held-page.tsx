import { api, type HeldAct } from '@rundlet/contracts';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { useApi } from '../../data/client.ts';
import {
  Button,
  Card,
  Empty,
  Facts,
  format,
  LinkButton,
  Loaded,
  Page,
  TextField,
} from '../../kit/kit.ts';

/** Acts from devices that could not be booked when they arrived. A keeper tries again or sets them aside, with a reason. */
export default function HeldPage() {
  const held = useApi(api.journal.held, { query: { limit: 100, status: 'open' } });
  return (
    <Page
      title="Held entries"
      lead="They came from devices that had no network, and something had changed meanwhile. Nothing was lost: say what becomes of each."
      narrow
    >
      <Loaded query={held} what="Asking for the held entries">
        {({ rows }) =>
          rows.length === 0 ? (
            <Empty title="Nothing is held" />
          ) : (
            <>
              {rows.map((row) => (
                <HeldCard key={row.id} held={row} />
              ))}
            </>
          )
        }
      </Loaded>
    </Page>
  );
}

function HeldCard({ held }: { held: HeldAct }) {
  const act = useAct('held.settle');
  const [reason, setReason] = useState('');
  const kind = typeof held.act['kind'] === 'string' ? held.act['kind'] : 'entry';
  const happenedAt = typeof held.act['happenedAt'] === 'string' ? held.act['happenedAt'] : null;
  const body = (held.act['body'] ?? {}) as Record<string, unknown>;
  const caskId = typeof body['caskId'] === 'string' ? body['caskId'] : null;
  const settle = (verdict: 'try-again' | 'discard') =>
    void act.run({ heldActId: held.id, verdict, reason }, `Settle a held entry: ${verdict}`);
  return (
    <Card title={kind.replace('.', ': ')}>
      <div className="stack">
        <p>{held.problem.message}</p>
        <Facts
          facts={[
            ['Happened', format.dateTime(happenedAt)],
            ['Arrived', format.dateTime(held.receivedAt)],
          ]}
        />
        <details>
          <summary>As it was sent</summary>
          <pre className="code small held-body">{JSON.stringify(body, null, 2)}</pre>
        </details>
        {caskId && (
          <div>
            <LinkButton to={`/casks/${caskId}`} icon="cask">
              The cask as the book has it
            </LinkButton>
          </div>
        )}
        <TextField
          label="Why"
          value={reason}
          onChange={setReason}
          error={act.errors.at('/reason')}
        />
        <ActOutcome act={act} pointers={['/reason']} applied="Settled" />
        <div className="form-foot">
          <Button
            icon="send"
            busy={act.busy}
            onClick={() => {
              settle('try-again');
            }}
          >
            Try it again
          </Button>
          <Button
            kind="grave"
            busy={act.busy}
            onClick={() => {
              settle('discard');
            }}
          >
            Set it aside
          </Button>
        </div>
      </div>
    </Card>
  );
}
