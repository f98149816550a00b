import type { CallOf } from '@rundlet/contracts';
import { useState } from 'react';
import type { api } from '../../data/client.ts';
import { resolveScan } from '../../data/resolve.ts';
import { Card, ChoiceField, CodeField, CodeText } from '../../kit/kit.ts';
import { useScans } from '../../shell/wedge.ts';

type Trial = NonNullable<CallOf<typeof api.labels.try>['body']>;
export type TrialChoice = Pick<Trial, 'fields' | 'subjectId' | 'dpi' | 'language'>;
type Language = 'own' | 'en' | 'de' | 'es' | 'fr';

/** Whose values stand in the label while it is written, and as which printer prints it. */
export function TrialFields({
  choice,
  onChange,
}: {
  choice: TrialChoice;
  onChange: (choice: TrialChoice) => void;
}) {
  const [text, setText] = useState('');
  const [code, setCode] = useState<string | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const find = async (scanned: string): Promise<void> => {
    setProblem(null);
    try {
      const { matches, message } = await resolveScan(scanned);
      const [match] = matches;
      if (!match) {
        setProblem(message || 'Nothing answers to this.');
        return;
      }
      setCode(match.code);
      setText('');
      onChange({ ...choice, fields: 'record', subjectId: match.id });
    } catch (error) {
      setProblem(error instanceof Error ? error.message : String(error));
    }
  };
  useScans((scanned) => void find(scanned), choice.fields === 'record');
  return (
    <Card title="Filled in with">
      <div className="stack">
        <ChoiceField
          label="Values"
          hideLabel
          value={choice.fields}
          onChange={(fields) => {
            onChange({ ...choice, fields });
          }}
          choices={[
            { value: 'examples', label: 'Examples' },
            { value: 'required', label: 'Only what it requires' },
            { value: 'record', label: 'One of yours' },
          ]}
        />
        {choice.fields === 'record' && (
          <>
            {code !== null && choice.subjectId !== null && (
              <p>
                <CodeText code={code} />
              </p>
            )}
            <CodeField
              label="Cask, position or sample"
              hint="Scan or type its code; it must be what the template is for"
              action="Take it"
              value={text}
              onChange={setText}
              error={problem ?? undefined}
              onEnter={(scanned) => void find(scanned)}
            />
          </>
        )}
        <ChoiceField
          label="Printed at"
          value={String(choice.dpi) as '203' | '300' | '600'}
          onChange={(dpi) => {
            onChange({ ...choice, dpi: Number(dpi) as TrialChoice['dpi'] });
          }}
          choices={[
            { value: '203', label: '203 dpi' },
            { value: '300', label: '300 dpi' },
            { value: '600', label: '600 dpi' },
          ]}
        />
        <ChoiceField<Language>
          label="Words in"
          value={(choice.language ?? 'own') as Language}
          onChange={(language) => {
            onChange({ ...choice, language: language === 'own' ? undefined : language });
          }}
          choices={[
            { value: 'own', label: 'Its own language' },
            { value: 'en', label: 'English' },
            { value: 'de', label: 'German' },
            { value: 'es', label: 'Spanish' },
            { value: 'fr', label: 'French' },
          ]}
        />
      </div>
    </Card>
  );
}
