import { api, type HeldView } from '@rundlet/contracts';
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
  Notice,
  Page,
  TextField,
} from '../../kit/kit.ts';
import { BringIn } from './bring-in.tsx';
import './held.css';

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
                <HeldCard key={row.held.id} view={row} />
              ))}
            </>
          )
        }
      </Loaded>
      <BringIn />
    </Page>
  );
}

function HeldCard({ view }: { view: HeldView }) {
  const { held, refusalNow } = view;
  const act = useAct('held.settle');
  const [reason, setReason] = useState('');
  const body = (held.act['body'] ?? {}) as Record<string, unknown>;
  const caskId = typeof body['caskId'] === 'string' ? body['caskId'] : null;
  const settle = (verdict: 'try-again' | 'discard') =>
    void act.run({ heldActId: held.id, verdict, reason }, `Settle a held entry: ${verdict}`);
  return (
    <Card title={view.sentence}>
      <div className="stack">
        <p>{held.problem.message}</p>
        <div className="two-versions">
          <DeviceVersion view={view} />
          <BookVersion view={view} />
        </div>
        {refusalNow === null ? (
          <Notice tone="good">What stood in its way is gone: it can be booked now.</Notice>
        ) : (
          <Notice tone="caution">
            It could still not be booked. {refusalNow} Book what is true first, then try it again;
            or set it aside.
          </Notice>
        )}
        {caskId && (
          <div className="line">
            <LinkButton to={`/casks/${caskId}`} icon="cask">
              The cask
            </LinkButton>
            <LinkButton to={`/casks/${caskId}/move`} icon="move">
              Move it
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
            kind={refusalNow === null ? 'main' : 'plain'}
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

function DeviceVersion({ view: { held, person, device, sentence } }: { view: HeldView }) {
  const happenedAt = typeof held.act['happenedAt'] === 'string' ? held.act['happenedAt'] : null;
  return (
    <section>
      <h3>The device says</h3>
      <p>{sentence}</p>
      <Facts
        facts={[
          ['By', person],
          ['Device', device ?? '–'],
          ['Happened', format.dateTime(happenedAt)],
          ['Arrived', format.dateTime(held.receivedAt)],
        ]}
      />
      <details>
        <summary>As it was sent</summary>
        <pre className="code small held-body">{JSON.stringify(held.act['body'], null, 2)}</pre>
      </details>
    </section>
  );
}

function BookVersion({ view: { book, beside } }: { view: HeldView }) {
  return (
    <section>
      <h3>The books say</h3>
      {book.map((line) => (
        <p key={line}>{line}</p>
      ))}
      {beside.length > 0 && (
        <ul className="bare-list stack-tight small">
          {beside.map((line) => (
            <li key={line.id}>
              <span className="soft">
                {format.dateTime(line.happenedAt)}, {line.actorName}:
              </span>{' '}
              {line.words}
            </li>
          ))}
        </ul>
      )}
    </section>
  );
}
