import '../books/return.css';
import { doorOf } from '@rundlet/client';
import type { Act, ActResult, OwnedCask, OwnerStatement } from '@rundlet/contracts';
import { useRef, useState } from 'react';
import { useParams } from 'wouter';
import { makeAct } from '../../acts/act.ts';
import { api, client, queries, useApi } from '../../data/client.ts';
import { resolveScan } from '../../data/resolve.ts';
import {
  Button,
  Card,
  CodeField,
  CodeText,
  Empty,
  Failed,
  format,
  LinkButton,
  Loaded,
  Notice,
  Page,
  SelectField,
  Table,
} from '../../kit/kit.ts';
import { useScans } from '../../shell/wedge.ts';
import { useAccounts } from '../fields/place-fields.tsx';

/** Acts in one request. */
const BATCH = 200;

/** Many casks of one owner pass to another: an entry for each cask, so that each can be taken back by itself. */
export default function PassPage() {
  const { id = '' } = useParams<{ id: string }>();
  const query = useApi(api.owners.statement, { params: { id } });
  return (
    <Loaded query={query} what="Fetching the owner’s casks">
      {(statement) => (
        <Page
          title={`Pass on casks of ${statement.account.name}`}
          lead="Tick casks in the list or scan them. The alcohol passes from one account to the other today, and the return shows it."
          actions={
            <LinkButton to={`/owners/${id}`} icon="back">
              Statement
            </LinkButton>
          }
        >
          <PassForm statement={statement} />
        </Page>
      )}
    </Loaded>
  );
}

interface Outcome {
  readonly passed: number;
  readonly refused: readonly { readonly code: string; readonly why: string }[];
}

function PassForm({ statement: { account, casks } }: { statement: OwnerStatement }) {
  const accounts = useAccounts().filter(({ id }) => id !== account.id);
  const [chosen, setChosen] = useState<ReadonlySet<string>>(new Set());
  const [accountId, setAccountId] = useState('');
  const [text, setText] = useState('');
  const [scanProblem, setScanProblem] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>(null);
  const [outcome, setOutcome] = useState<Outcome | null>(null);
  // Sent again after a lost answer, the same acts go out, and none is booked twice.
  const made = useRef(new Map<string, Act>());

  const choose = (ids: readonly string[], on: boolean) => {
    setChosen((now) => {
      const next = new Set(now);
      for (const id of ids)
        if (on) next.add(id);
        else next.delete(id);
      return next;
    });
  };
  const scanned = async (code: string) => {
    setScanProblem(null);
    setText('');
    try {
      const { matches, message } = await resolveScan(code);
      const cask = casks.find(({ caskId }) => matches.some(({ id }) => id === caskId));
      if (cask) choose([cask.caskId], true);
      else
        setScanProblem(
          matches[0]
            ? `${matches[0].code} is not among the filled casks of ${account.name}.`
            : message || `Nothing answers to “${code}”.`,
        );
    } catch (cause) {
      setScanProblem(cause instanceof Error ? cause.message : String(cause));
    }
  };
  useScans((code) => void scanned(code));

  const listed = casks.filter(({ caskId }) => chosen.has(caskId));
  const total = listed.reduce((sum, cask) => sum + cask.nowLitresPureAlcohol, 0);
  const pass = async () => {
    setBusy(true);
    setError(null);
    setOutcome(null);
    try {
      const acts: Act[] = [];
      for (const { caskId } of listed) {
        const key = `${caskId} ${accountId}`;
        const act =
          made.current.get(key) ?? (await makeAct('cask.change-owner', { caskId, accountId }));
        made.current.set(key, act);
        acts.push(act);
      }
      const results: ActResult[] = [];
      for (let from = 0; from < acts.length; from += BATCH)
        results.push(...(await doorOf(client).send(acts.slice(from, from + BATCH))));
      const told = outcomeOf(listed, results);
      made.current.clear();
      setOutcome(told);
      choose(
        listed.filter((_, i) => results[i]?.status !== 'refused').map(({ caskId }) => caskId),
        false,
      );
      await queries.invalidateQueries();
    } catch (cause) {
      setError(cause);
    } finally {
      setBusy(false);
    }
  };
  return (
    <>
      {casks.length === 0 ? (
        <>
          {outcome && <Told outcome={outcome} />}
          <Empty title="No cask of this account holds spirit" />
        </>
      ) : (
        <>
          <Card title="Which">
            <div className="stack">
              <CodeField
                label="Scan or type a cask"
                action="Tick"
                value={text}
                onChange={setText}
                error={scanProblem ?? undefined}
                onEnter={(code) => void scanned(code)}
              />
              <div className="line">
                <Button
                  onClick={() => {
                    choose(
                      casks.map(({ caskId }) => caskId),
                      true,
                    );
                  }}
                >
                  Tick all {format.number(casks.length)}
                </Button>
                <Button
                  kind="quiet"
                  disabled={chosen.size === 0}
                  onClick={() => {
                    setChosen(new Set());
                  }}
                >
                  Tick none
                </Button>
              </div>
              <Casks casks={casks} chosen={chosen} onChoose={choose} />
            </div>
          </Card>
          <Card title="To">
            <form
              className="stack"
              onSubmit={(event) => {
                event.preventDefault();
                void pass();
              }}
            >
              <SelectField
                label="To the account of"
                value={accountId}
                onChange={setAccountId}
                empty="Choose …"
                choices={accounts.map(({ id, name }) => ({ value: id, label: name }))}
              />
              <p aria-live="polite">
                {format.count(listed.length, 'cask')}, {format.pureAlcohol(total)} by the last
                gauges.
              </p>
              <Notice tone="caution">
                Title and duty may depend on where and when a cask changes hands: check with your
                authority and your contract.
              </Notice>
              {error !== null && <Failed error={error} />}
              {outcome && <Told outcome={outcome} />}
              <div className="form-foot">
                <Button
                  type="submit"
                  kind="main"
                  icon="swap"
                  busy={busy}
                  disabled={listed.length === 0 || accountId === ''}
                >
                  {busy ? 'Booking …' : `Pass on ${format.count(listed.length, 'cask')}`}
                </Button>
              </div>
            </form>
          </Card>
        </>
      )}
    </>
  );
}

function Casks({
  casks,
  chosen,
  onChoose,
}: {
  casks: readonly OwnedCask[];
  chosen: ReadonlySet<string>;
  onChoose: (ids: readonly string[], on: boolean) => void;
}) {
  return (
    <Table
      caption="Filled casks of the account"
      rows={casks}
      rowKey={(cask) => cask.fillingId}
      chosen={(cask) => chosen.has(cask.caskId)}
      columns={[
        {
          key: 'tick',
          title: 'Pass on',
          cell: (cask) => (
            <label className="tick">
              <input
                type="checkbox"
                checked={chosen.has(cask.caskId)}
                onChange={(event) => {
                  onChoose([cask.caskId], event.target.checked);
                }}
              />
              <span className="visually-hidden">{cask.caskCode}</span>
            </label>
          ),
        },
        { key: 'cask', title: 'Cask', cell: (cask) => <CodeText code={cask.caskCode} /> },
        { key: 'kind', title: 'Kind', cell: (cask) => cask.caskKind },
        {
          key: 'filled',
          title: 'Filled',
          cell: (cask) => <span className="one-line">{format.date(cask.filledAt)}</span>,
        },
        {
          key: 'now',
          title: 'LPA by last gauge',
          numeric: true,
          cell: (cask) => format.number(cask.nowLitresPureAlcohol, 1),
        },
      ]}
    />
  );
}

function Told({ outcome: { passed, refused } }: { outcome: Outcome }) {
  return (
    <Notice
      live
      tone={refused.length > 0 ? 'caution' : 'good'}
      title={`${format.count(passed, 'cask has', 'casks have')} a new owner`}
    >
      {refused.length > 0 && (
        <ul>
          {refused.map(({ code, why }) => (
            <li key={code}>
              <CodeText code={code} />: not passed on. {why}
            </li>
          ))}
        </ul>
      )}
    </Notice>
  );
}

function outcomeOf(casks: readonly OwnedCask[], results: readonly ActResult[]): Outcome {
  const refused = results.flatMap(({ status, problem }, i) =>
    status === 'refused'
      ? [{ code: casks[i]?.caskCode ?? '', why: problem?.detail ?? problem?.title ?? 'Refused.' }]
      : [],
  );
  return { passed: results.length - refused.length, refused };
}
