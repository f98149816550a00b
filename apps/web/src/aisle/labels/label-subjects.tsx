import { api, type LabelTemplateInfo } from '@rundlet/contracts';
import { useState } from 'react';
import { useAisle } from '../../data/aisle.ts';
import { useApi } from '../../data/client.ts';
import { positionWords } from '../../data/aisle-index.ts';
import { resolveScan } from '../../data/resolve.ts';
import { Button, CodeField, CodeText, format, SelectField, Card } from '../../kit/kit.ts';
import { useScans } from '../../shell/wedge.ts';

export type SubjectKind = LabelTemplateInfo['subject'];
export interface Subject {
  id: string;
  code: string;
}

/** What gets a label: scanned or typed one by one, or a whole row of rack positions. */
export function LabelSubjects({
  kind,
  subjects,
  onChange,
}: {
  kind: SubjectKind;
  subjects: readonly Subject[];
  onChange: (subjects: Subject[]) => void;
}) {
  const [text, setText] = useState('');
  const [problem, setProblem] = useState<string | null>(null);
  const add = async (scanned: string): Promise<void> => {
    setProblem(null);
    setText('');
    try {
      const answer = await resolveScan(scanned);
      const match = answer.matches.find((candidate) => candidate.kind === kind);
      if (!match) setProblem(answer.message || `No ${kind} answers to “${scanned}”.`);
      else if (!subjects.some(({ id }) => id === match.id))
        onChange([...subjects, { id: match.id, code: match.code }]);
    } catch (error) {
      setProblem(error instanceof Error ? error.message : String(error));
    }
  };
  useScans((scanned) => void add(scanned));
  return (
    <Card
      title="For"
      aside={<span className="soft">{format.count(subjects.length, 'label')}</span>}
    >
      <div className="stack">
        {kind === 'bottling-run' ? (
          <BottlingRuns subjects={subjects} onChange={onChange} />
        ) : (
          <CodeField
            label={`Add a ${kind}`}
            hint="Scan or type its code"
            action="Add"
            value={text}
            onChange={setText}
            error={problem ?? undefined}
            onEnter={(scanned) => void add(scanned)}
          />
        )}
        {kind === 'position' && <PositionRows onAdd={onChange} />}
        {kind === 'cask' && <UnlabelledHint />}
        <ul className="bare-list line">
          {subjects.slice(0, 40).map((subject) => (
            <li key={subject.id}>
              <Button
                icon="cross"
                onClick={() => {
                  onChange(subjects.filter(({ id }) => id !== subject.id));
                }}
              >
                <span className="visually-hidden">Take off </span>
                <CodeText code={subject.code} />
              </Button>
            </li>
          ))}
          {subjects.length > 40 && (
            <li className="soft">and {format.number(subjects.length - 40)} more</li>
          )}
        </ul>
      </div>
    </Card>
  );
}

function UnlabelledHint() {
  return (
    <p className="field-hint">
      A whole filling run comes here by “Print their labels” on the Fill page; new casks by
      “Register casks”.
    </p>
  );
}

/** The newest runs; the label that stands on a bottle or its case leads to the run's public page. */
function BottlingRuns({
  subjects,
  onChange,
}: {
  subjects: readonly Subject[];
  onChange: (subjects: Subject[]) => void;
}) {
  const runs = useApi(api.bottlings.runs, { query: { limit: 100 } }).data?.rows ?? [];
  const left = runs.filter((run) => !subjects.some(({ id }) => id === run.id));
  return (
    <SelectField
      label="Add a bottling run"
      value=""
      empty="Choose …"
      onChange={(id: string) => {
        const run = left.find((one) => one.id === id);
        if (run) onChange([...subjects, { id, code: run.code }]);
      }}
      choices={left.map(({ id, code, name }) => ({ value: id, label: `${code} ${name}` }))}
    />
  );
}

/** All positions of one row of the store on this device. */
function PositionRows({ onAdd }: { onAdd: (subjects: Subject[]) => void }) {
  const { index } = useAisle();
  if (!index) return null;
  const rows = new Map<string, Subject[]>();
  for (const position of [...index.snapshot.positions].sort((a, b) => a.walkOrder - b.walkOrder)) {
    const name = `${index.zoneName.get(position.zoneId) ?? ''}, row ${position.row}`;
    const row = rows.get(name) ?? [];
    row.push({ id: position.id, code: positionWords(position) });
    rows.set(name, row);
  }
  return (
    <SelectField
      label="Or a whole row"
      value=""
      empty="Choose …"
      onChange={(name: string) => {
        onAdd(rows.get(name) ?? []);
      }}
      choices={[...rows].map(([name, all]) => ({
        value: name,
        label: `${name} (${format.count(all.length, 'position')})`,
      }))}
    />
  );
}
