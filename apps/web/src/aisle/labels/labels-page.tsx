import { api, type LabelTemplateInfo } from '@rundlet/contracts';
import { useEffect, useState } from 'react';
import { useSearch } from 'wouter';
import { useApi } from '../../data/client.ts';
import { codeOf, learnCodes } from '../../data/known-codes.ts';
import {
  Card,
  ChoiceField,
  Empty,
  format,
  LinkButton,
  Loaded,
  Page,
  SelectField,
} from '../../kit/kit.ts';
import { VapourCaution } from '../cautions.tsx';
import { LabelPreview } from './label-preview.tsx';
import { LabelSubjects, type Subject, type SubjectKind } from './label-subjects.tsx';
import { PrintForm } from './print-form.tsx';
import type { LabelInput } from './label-job.ts';
import { lastPrinter, PrinterField, type Dpi } from './printer-field.tsx';
import { SpareCodes } from './spare-codes.tsx';

type Kind = SubjectKind | 'spare';
const KINDS: readonly { value: Kind; label: string }[] = [
  { value: 'cask', label: 'Casks' },
  { value: 'spare', label: 'Casks to come' },
  { value: 'position', label: 'Rack positions' },
  { value: 'sample', label: 'Sample bottles' },
  { value: 'vat', label: 'Vats' },
  { value: 'bottling-run', label: 'Bottling runs' },
];
const LAST = 'rundlet-template-';

export default function LabelsPage() {
  const search = new URLSearchParams(useSearch());
  const givenKind = KINDS.find(({ value }) => value === search.get('kind'))?.value;
  const givenIds = search.get('ids') ?? '';
  const templates = useApi(api.labels.templates);
  const setUp = useApi(api.labels.printers);
  const [kind, setKind] = useState<Kind>(givenKind ?? 'cask');
  const [subjects, setSubjects] = useState<Subject[]>([]);
  const [spareCodes, setSpareCodes] = useState<string[]>([]);
  const [templateId, setTemplateId] = useState('');
  const [dpi, setDpi] = useState<Dpi>(300);
  const [printers, setPrinters] = useState(() => ({
    roll: lastPrinter('roll'),
    sheet: lastPrinter('sheet'),
  }));

  useEffect(() => {
    if (givenIds === '') return;
    const ids = givenIds.split(',');
    const show = (): void => {
      setSubjects(ids.map((id) => ({ id, code: codeOf(id) })));
    };
    show();
    if (givenKind === 'cask' || givenKind === 'vat' || givenKind === 'bottling-run')
      void learnCodes(givenKind, ids).then(show);
  }, [givenIds, givenKind]);

  return (
    <Page
      title="Labels"
      lead="Choose what gets a label and on what it is printed. PDF keeps true millimetres: print it at 100 %, with scaling off."
      actions={
        <>
          <LinkButton icon="note" to="/labels/templates">
            Templates
          </LinkButton>
          <LinkButton icon="gear" to="/labels/printers">
            Printers
          </LinkButton>
        </>
      }
    >
      <ChoiceField
        label="Labels for"
        value={kind}
        onChange={(next) => {
          setKind(next);
          setSubjects([]);
          setSpareCodes([]);
          setTemplateId('');
        }}
        choices={KINDS}
      />
      <Loaded query={templates} what="Asking for the templates">
        {({ rows }) => {
          const offered = rows.filter(({ subject, spare }) =>
            kind === 'spare' ? spare : subject === kind,
          );
          const template = offered.find(({ id }) => id === templateId) ?? usual(offered, kind);
          if (!template) return <Empty title="There is no template for this yet" />;
          const printerId =
            setUp.data?.rows.find(({ id }) => id === printers[template.medium])?.id ?? null;
          const input: LabelInput = {
            templateId: template.id,
            subjectIds: subjects.map(({ id }) => id),
            spareCodes,
            printerId,
            dpi,
            startPosition: 1,
            outline: false,
          };
          const chosen = subjects.length + spareCodes.length > 0;
          return (
            <div className="columns">
              <div className="stack">
                {kind === 'spare' ? (
                  <SpareCodes codes={spareCodes} onChange={setSpareCodes} />
                ) : (
                  <LabelSubjects kind={kind} subjects={subjects} onChange={setSubjects} />
                )}
                <Card title="On">
                  <div className="stack">
                    <SelectField
                      label="Template"
                      value={template.id}
                      onChange={(id: string) => {
                        setTemplateId(id);
                        localStorage.setItem(LAST + kind, id);
                      }}
                      choices={offered.map((one) => ({ value: one.id, label: nameOf(one) }))}
                      hint={template.description}
                    />
                    <PrinterField
                      template={template}
                      printers={setUp.data?.rows ?? []}
                      printerId={printerId}
                      dpi={dpi}
                      onPrinter={(id) => {
                        setPrinters({ ...printers, [template.medium]: id });
                      }}
                      onDpi={setDpi}
                    />
                  </div>
                </Card>
                {chosen && (
                  <PrintForm
                    key={`${kind} ${template.id}`}
                    kind={kind}
                    template={template}
                    input={input}
                  />
                )}
              </div>
              <Card title="Preview">
                {chosen ? (
                  <LabelPreview template={template} input={input} />
                ) : (
                  <Empty title="Nothing chosen yet">
                    {kind === 'spare'
                      ? 'Take codes to see the first label.'
                      : 'Scan or type a code to see its label.'}
                  </Empty>
                )}
              </Card>
            </div>
          );
        }}
      </Loaded>
      <VapourCaution />
    </Page>
  );
}

/** The template used last for this kind on this device; at first the largest. */
function usual(offered: readonly LabelTemplateInfo[], kind: Kind): LabelTemplateInfo | undefined {
  const last = localStorage.getItem(LAST + kind);
  const byArea = [...offered].sort((a, b) => b.widthMm * b.heightMm - a.widthMm * a.heightMm);
  return offered.find(({ id }) => id === last) ?? byArea[0];
}

const nameOf = ({ name, widthMm, heightMm, medium, perSheet }: LabelTemplateInfo): string =>
  `${name}, ${format.number(widthMm)} × ${format.number(heightMm)} mm, ${
    medium === 'sheet' ? `${format.number(perSheet)} to a sheet` : 'on a roll'
  }`;
