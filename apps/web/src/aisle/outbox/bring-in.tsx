import { bringIn, doorOf, outboxFromFile, type OutboxFile } from '@rundlet/client';
import type { ActResult } from '@rundlet/contracts';
import { useState } from 'react';
import { client, queries } from '../../data/client.ts';
import { Button, Card, Failed, format, Notice } from '../../kit/kit.ts';

type State =
  | { step: 'none' }
  | { step: 'read'; file: OutboxFile }
  | { step: 'sending' }
  | { step: 'done'; file: OutboxFile; results: readonly ActResult[] };

/** Brings in what a device saved as a file because it would not see the server again. */
export function BringIn() {
  const [state, setState] = useState<State>({ step: 'none' });
  const [error, setError] = useState<unknown>(null);

  const read = async (file: File | undefined) => {
    if (!file) return;
    setError(null);
    try {
      setState({ step: 'read', file: outboxFromFile(await file.text()) });
    } catch {
      setState({ step: 'none' });
      setError(new Error(`${file.name} is not a file that an outbox saved, or it was changed.`));
    }
  };
  const send = async (file: OutboxFile) => {
    setState({ step: 'sending' });
    try {
      const results = await bringIn(file, doorOf(client));
      setState({ step: 'done', file, results });
      void queries.invalidateQueries();
    } catch (cause) {
      setState({ step: 'read', file });
      setError(cause);
    }
  };
  return (
    <Card title="A device’s file">
      <div className="stack">
        <p>
          A device that will not see the server again can save its outbox as a file. Its entries are
          booked in their order under your name, with the times and the device they carry. What the
          books have already is not booked again.
        </p>
        <label className="field">
          <span className="field-label">File saved by an outbox</span>
          <input
            type="file"
            accept="application/json,.json"
            onChange={(event) => void read(event.target.files?.[0])}
          />
        </label>
        {state.step === 'read' && (
          <Notice
            title={`${format.count(state.file.items.length, 'entry', 'entries')} of ${state.file.device}`}
            actions={
              <Button kind="main" icon="send" onClick={() => void send(state.file)}>
                Book them
              </Button>
            }
          >
            Saved {format.dateTime(state.file.madeAt)}
            {peopleOf(state.file) && `, made by ${peopleOf(state.file)}`}
          </Notice>
        )}
        {state.step === 'sending' && <Notice live>Sending …</Notice>}
        {state.step === 'done' && <Outcome file={state.file} results={state.results} />}
        {error !== null && <Failed error={error} />}
      </div>
    </Card>
  );
}

const peopleOf = (file: OutboxFile): string =>
  [...new Set(file.items.flatMap(({ by }) => by ?? []))].join(', ');

function Outcome({ file, results }: { file: OutboxFile; results: readonly ActResult[] }) {
  const of = (...states: ActResult['status'][]): number =>
    results.filter(({ status }) => states.includes(status)).length;
  const refused = results.filter(({ status }) => status === 'refused');
  const wordsOf = (id: string) => file.items.find(({ act }) => act.id === id)?.words ?? id;
  return (
    <Notice tone={refused.length > 0 ? 'caution' : 'good'} live title="The file is brought in">
      {format.count(of('applied'), 'entry', 'entries')} booked, {of('already-applied')} were booked
      before, {of('held')} held above.
      {refused.length > 0 && (
        <ul>
          {refused.map((one) => (
            <li key={one.id}>
              {wordsOf(one.id)}: refused. {one.problem?.detail ?? one.problem?.title}
            </li>
          ))}
        </ul>
      )}
    </Notice>
  );
}
