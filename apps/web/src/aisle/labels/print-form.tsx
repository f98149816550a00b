import type { LabelTemplateInfo } from '@rundlet/contracts';
import { useState } from 'react';
import { useAct } from '../../acts/use-act.ts';
import {
  Button,
  Card,
  ChoiceField,
  Failed,
  format,
  Notice,
  NumberField,
  TextField,
} from '../../kit/kit.ts';
import { downloadLabels, type Format, type LabelInput } from './label-job.ts';
import type { Subject, SubjectKind } from './label-subjects.tsx';

/** Copies, place on a part-used sheet, form of the file; the print is kept in the journal. */
export function PrintForm({
  kind,
  template,
  input,
  subjects,
}: {
  kind: SubjectKind;
  template: LabelTemplateInfo;
  input: LabelInput;
  subjects: readonly Subject[];
}) {
  const act = useAct('label.print');
  const [copies, setCopies] = useState<number | null>(1);
  const [start, setStart] = useState<number | null>(1);
  const [reason, setReason] = useState('');
  const [file, setFile] = useState<Format>('pdf');
  const [busy, setBusy] = useState(false);
  const [error, setError] = useState<unknown>(null);
  const [made, setMade] = useState(false);
  const wholeCopies = copies !== null && Number.isInteger(copies) && copies >= 1 && copies <= 20;
  const startPosition = start ?? 1;
  const startFits =
    Number.isInteger(startPosition) && startPosition >= 1 && startPosition <= template.perSheet;

  const print = async () => {
    if (!wholeCopies || copies === null) return;
    setBusy(true);
    setError(null);
    setMade(false);
    try {
      const ids = subjects.flatMap(({ id }) => Array.from({ length: copies }, () => id));
      await downloadLabels({ ...input, subjectIds: ids, startPosition }, file, template);
      setMade(true);
      await act.run(
        {
          subjects: subjects.map(({ id }) => ({ kind, id })),
          templateId: template.id,
          reason: reason.trim() === '' ? null : reason,
          copies,
        },
        `Print ${format.count(subjects.length * copies, 'label')}`,
      );
    } catch (cause) {
      setError(cause);
    } finally {
      setBusy(false);
    }
  };
  return (
    <Card title="Print">
      <form
        className="stack"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          void print();
        }}
      >
        <ChoiceField
          label="As"
          value={file}
          onChange={setFile}
          choices={[
            { value: 'pdf', label: 'PDF' },
            { value: 'png', label: 'PNG' },
            { value: 'svg', label: 'SVG' },
            {
              value: 'zpl',
              label: 'Printer language (ZPL)',
              disabled: template.medium === 'sheet',
            },
          ]}
        />
        <div className="grid">
          <NumberField
            label="Copies of each"
            unit="labels"
            value={copies}
            onChange={setCopies}
            error={wholeCopies ? undefined : 'A whole number from 1 to 20 is needed'}
          />
          {template.medium === 'sheet' && (
            <NumberField
              label="First free place on the sheet"
              hint={`1 to ${format.number(template.perSheet)}, counted along the rows`}
              unit="place"
              value={start}
              onChange={setStart}
              error={
                startFits
                  ? undefined
                  : `A whole number from 1 to ${format.number(template.perSheet)} is needed`
              }
            />
          )}
        </div>
        <TextField
          label="Why again"
          hint="For a reprint: the old label is damaged, lost, replaced"
          value={reason}
          onChange={setReason}
          error={act.errors.at('/reason')}
        />
        {error !== null && <Failed error={error} />}
        {made && (
          <Notice tone="good" live title="The file is made">
            The print is kept in the journal.
          </Notice>
        )}
        <div className="form-foot">
          <Button
            type="submit"
            kind="main"
            icon="download"
            busy={busy}
            disabled={!wholeCopies || !startFits}
          >
            {busy
              ? 'Making the labels …'
              : `Make ${format.count(subjects.length * (copies ?? 1), 'label')}`}
          </Button>
        </div>
      </form>
    </Card>
  );
}
