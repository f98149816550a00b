import { api, type LabelTemplateInfo } from '@rundlet/contracts';
import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { ActOutcome } from '../../acts/act-outcome.tsx';
import { useAct } from '../../acts/use-act.ts';
import { queryKey, useApi } from '../../data/client.ts';
import { JobProgress } from '../../desk/jobs/job-progress.tsx';
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
import { downloadRun, startRun, type Format, type LabelInput } from './label-job.ts';
import { SheetPlaces } from './sheet-places.tsx';
import type { SubjectKind } from './label-subjects.tsx';

/** Copies, place on a part-used sheet, form of the file; the print is kept in the journal. */
export function PrintForm({
  kind,
  template,
  input,
}: {
  kind: SubjectKind | 'spare';
  template: LabelTemplateInfo;
  input: LabelInput;
}) {
  const { subjectIds, spareCodes } = input;
  const printed = useAct('label.print');
  const spared = useAct('spare-label.print');
  const queries = useQueryClient();
  const [copies, setCopies] = useState<number | null>(1);
  const [start, setStart] = useState(1);
  const [reason, setReason] = useState('');
  const [file, setFile] = useState<Format>('pdf');
  const [jobId, setJobId] = useState<string | null>(null);
  const [error, setError] = useState<unknown>(null);
  const [made, setMade] = useState(false);
  /** The file is made, but the journal has refused the print for now. */
  const [unbooked, setUnbooked] = useState(false);
  const before = usePrintedBefore(subjectIds);
  const openSpares = useApi(api.labels.spares, {}, { enabled: kind === 'spare' });
  // A cask bears one label, a run of bottles thousands of the same.
  const most = kind === 'bottling-run' ? Math.floor(5000 / Math.max(1, subjectIds.length)) : 20;
  const wholeCopies = copies !== null && Number.isInteger(copies) && copies >= 1 && copies <= most;
  const labels = (subjectIds.length + spareCodes.length) * (wholeCopies ? copies : 1);
  const reasonMissing = before.length > 0 && reason.trim() === '';

  const begin = async () => {
    if (!wholeCopies || reasonMissing) return;
    if (unbooked) {
      await book();
      return;
    }
    setError(null);
    setMade(false);
    try {
      // The codes are taken first: a label must never be printed whose code is given to another cask.
      const known = new Set(openSpares.data?.rows.map(({ code }) => code));
      const codes = spareCodes.filter((code) => !known.has(code));
      if (codes.length > 0) {
        const taken = await spared.run(
          { codes, templateId: template.id },
          `Print ${format.count(codes.length, 'spare label')}`,
        );
        if (taken?.status !== 'applied') return;
        await queries.invalidateQueries({ queryKey: queryKey(api.labels.spares).slice(0, 2) });
      }
      const each = <T,>(all: readonly T[]): T[] =>
        all.flatMap((one) => Array.from({ length: copies }, () => one));
      const run = {
        ...input,
        subjectIds: each(subjectIds),
        spareCodes: each(spareCodes),
        startPosition: Math.min(start, template.perSheet),
      };
      setJobId(await startRun(run, file));
    } catch (cause) {
      setError(cause);
    }
  };
  const book = async () => {
    if (subjectIds.length > 0 && copies !== null && kind !== 'spare') {
      const booked = await printed.run(
        {
          subjects: subjectIds.map((subjectId) => ({ kind, id: subjectId })),
          templateId: template.id,
          reason: reason.trim() === '' ? null : reason,
          copies,
        },
        `Print ${format.count(labels, 'label')}`,
      );
      await queries.invalidateQueries({ queryKey: queryKey(api.labels.printed).slice(0, 2) });
      const refused = booked === null || booked.status === 'refused';
      setUnbooked(refused);
      if (refused) return;
    }
    // Said last: it promises that the print is in the journal.
    setMade(true);
  };
  const finish = async (id: string) => {
    setJobId(null);
    try {
      await downloadRun(id);
      await book();
    } catch (cause) {
      setError(cause);
    }
  };
  return (
    <Card title="Print">
      <form
        className="stack"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          void begin();
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
        <NumberField
          label="Copies of each"
          unit="labels"
          value={copies}
          onChange={setCopies}
          error={
            wholeCopies ? undefined : `A whole number from 1 to ${format.number(most)} is needed`
          }
        />
        {template.medium === 'sheet' && file === 'pdf' && (
          <SheetPlaces
            template={template}
            start={Math.min(start, template.perSheet)}
            count={labels}
            onChange={setStart}
          />
        )}
        {before.length > 0 && (
          <>
            <Notice
              tone="caution"
              live
              title={`${format.count(before.length, 'label was', 'labels were')} printed before`}
            >
              The last on{' '}
              {format.date(
                before
                  .map(({ lastAt }) => lastAt)
                  .sort()
                  .at(-1) ?? '',
              )}
              .{' '}
              {kind === 'bottling-run'
                ? 'The new ones say which printing they are where the template has a place for it.'
                : 'Take the old label off, so that no cask bears two; the new one says which printing it is.'}
            </Notice>
            <TextField
              label="Why again"
              hint="Like: scuffed, lost, replaced at re-racking"
              value={reason}
              onChange={setReason}
              error={printed.errors.at('/reason')}
            />
          </>
        )}
        <ActOutcome act={spared} />
        <ActOutcome act={printed} pointers={before.length > 0 ? ['/reason'] : []} />
        {error !== null && <Failed error={error} />}
        {jobId !== null && (
          <JobProgress
            jobId={jobId}
            label="Drawing the labels"
            onDone={(job) => {
              if (job.status === 'done') void finish(job.id);
              else if (job.status === 'cancelled') setJobId(null);
            }}
          />
        )}
        {made && (
          <Notice tone="good" live title="The file is made">
            Print it at 100 %, with scaling off. The print is kept in the journal.
          </Notice>
        )}
        <div className="form-foot">
          <Button
            type="submit"
            kind="main"
            icon="download"
            busy={spared.busy || printed.busy}
            disabled={!wholeCopies || reasonMissing || jobId !== null}
          >
            {unbooked ? 'Book the print' : `Make ${format.count(labels, 'label')}`}
          </Button>
        </div>
      </form>
    </Card>
  );
}

/** Which of them had a label before. */
function usePrintedBefore(
  subjectIds: readonly string[],
): readonly { subjectId: string; lastAt: string }[] {
  const query = useApi(
    api.labels.printed,
    { body: { subjectIds: [...subjectIds] } },
    { enabled: subjectIds.length > 0, staleTime: 0 },
  );
  return subjectIds.length > 0 ? (query.data?.rows ?? []) : [];
}
