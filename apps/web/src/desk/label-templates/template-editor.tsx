import { api, type AnswerOf, type TemplateTrial } from '@rundlet/contracts';
import { useQueryClient } from '@tanstack/react-query';
import { useEffect, useRef, useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { client, queryKey } from '../../data/client.ts';
import { useMay } from '../../data/session.tsx';
import { Button, Card, TextField } from '../../kit/kit.ts';
import { JsonField, type JsonFieldHandle } from './json-field.tsx';
import { TrialFields, type TrialChoice } from './trial-fields.tsx';
import { TrialPicture } from './trial-picture.tsx';

/** Drawn this long after the last key. */
const REST_MS = 350;

/** The template's text on one side, the label on the other. */
export function TemplateEditor({
  given,
  onSaved,
}: {
  given: AnswerOf<typeof api.labels.template>;
  onSaved: (id: string) => void;
}) {
  const act = useAct('label-template.save');
  const queries = useQueryClient();
  const may = useMay();
  const field = useRef<JsonFieldHandle>(null);
  const [text, setText] = useState(given.text);
  const [name, setName] = useState(given.own ? given.id : `our-${given.id}`);
  const [choice, setChoice] = useState<TrialChoice>({
    fields: 'examples',
    subjectId: null,
    dpi: 300,
    language: undefined,
  });
  const { trial, error } = useTrial(text, choice);
  const faults = trial?.problems.filter(({ tone }) => tone === 'fault') ?? [];
  const usable = trial !== null && faults.length === 0 && trial.svg !== null;

  const save = async (template: Record<string, unknown> | null) => {
    const id = template === null ? given.id : name;
    const words = template === null ? `Take out template ${id}` : `Save template ${id}`;
    const result = await act.run({ id, template }, words);
    if (result?.status !== 'applied') return;
    await queries.invalidateQueries({ queryKey: queryKey(api.labels.templates).slice(0, 2) });
    await queries.invalidateQueries({ queryKey: queryKey(api.labels.template).slice(0, 2) });
    onSaved(id);
  };
  return (
    <div className="columns template-editor">
      <Card title="Template">
        <div className="stack">
          <JsonField
            ref={field}
            label="Lengths in millimetres from the top left corner"
            value={text}
            onChange={setText}
            marked={trial?.problems.flatMap(({ line }) => line ?? []) ?? []}
          />
          {may('keep') ? (
            <form
              className="stack"
              noValidate
              onSubmit={(event) => {
                event.preventDefault();
                if (usable) void save(JSON.parse(text) as Record<string, unknown>);
              }}
            >
              <TextField
                label="Save as"
                hint="Small letters, digits and hyphens. The name of a shipped template takes its place."
                value={name}
                onChange={setName}
                error={act.errors.at('/id')}
                autoComplete="off"
              />
              <ActOutcome
                act={act}
                pointers={['/id']}
                applied="Saved; it is offered for printing"
              />
              <div className="form-foot">
                <Button type="submit" kind="main" icon="check" busy={act.busy} disabled={!usable}>
                  Save
                </Button>
                {given.own && (
                  <Button kind="grave" busy={act.busy} onClick={() => void save(null)}>
                    Take out of use
                  </Button>
                )}
              </div>
            </form>
          ) : (
            <p className="soft">A keeper saves templates.</p>
          )}
        </div>
      </Card>
      <div className="stack template-result">
        <TrialPicture
          trial={trial}
          error={error}
          onLine={(line) => {
            field.current?.goTo(line);
          }}
        />
        <TrialFields choice={choice} onChange={setChoice} />
      </div>
    </div>
  );
}

/** The newest drawing of what is written; while one is made the last one stays. */
function useTrial(
  text: string,
  choice: TrialChoice,
): { trial: TemplateTrial | null; error: unknown } {
  const [state, setState] = useState<{ trial: TemplateTrial | null; error: unknown }>({
    trial: null,
    error: null,
  });
  const { fields, subjectId, dpi, language } = choice;
  useEffect(() => {
    let gone = false;
    const timer = setTimeout(() => {
      const body = { text, fields, subjectId, dpi, language };
      client.call(api.labels.try, { body }).then(
        (trial) => {
          if (!gone) setState({ trial, error: null });
        },
        (error: unknown) => {
          if (!gone) setState((last) => ({ trial: last.trial, error }));
        },
      );
    }, REST_MS);
    return () => {
      gone = true;
      clearTimeout(timer);
    };
  }, [text, fields, subjectId, dpi, language]);
  return state;
}
