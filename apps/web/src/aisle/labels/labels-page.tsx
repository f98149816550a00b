import { api, type LabelTemplateInfo } from '@rundlet/contracts';
import { useEffect, useState } from 'react';
import { useSearch } from 'wouter';
import { useApi } from '../../data/client.ts';
import { codeOf, learnCaskCodes } from '../../data/known-codes.ts';
import { Card, ChoiceField, Empty, format, Loaded, Page, SelectField } from '../../kit/kit.ts';
import { VapourCaution } from '../cautions.tsx';
import { LabelPreview } from './label-preview.tsx';
import { LabelSubjects, type Subject, type SubjectKind } from './label-subjects.tsx';
import { PrintForm } from './print-form.tsx';
import type { LabelInput } from './label-job.ts';

const KINDS: readonly { value: SubjectKind; label: string }[] = [
  { value: 'cask', label: 'Casks' },
  { value: 'position', label: 'Rack positions' },
  { value: 'sample', label: 'Sample bottles' },
  { value: 'blend', label: 'Blends' },
];
const LAST = 'rundlet-template-';
type Dpi = '203' | '300' | '600';

export default function LabelsPage() {
  const search = new URLSearchParams(useSearch());
  const givenKind = KINDS.find(({ value }) => value === search.get('kind'))?.value;
  const givenIds = search.get('ids') ?? '';
  const templates = useApi(api.labels.templates, {}, { staleTime: Infinity });
  const [kind, setKind] = useState<SubjectKind>(givenKind ?? 'cask');
  const [subjects, setSubjects] = useState<Subject[]>([]);
  const [templateId, setTemplateId] = useState('');
  const [dpi, setDpi] = useState<Dpi>('300');

  useEffect(() => {
    if (givenIds === '') return;
    const ids = givenIds.split(',');
    const show = (): void => {
      setSubjects(ids.map((id) => ({ id, code: codeOf(id) })));
    };
    show();
    if (givenKind === 'cask') void learnCaskCodes(ids).then(show);
  }, [givenIds, givenKind]);

  return (
    <Page
      title="Labels"
      lead="Choose what gets a label and on what it is printed. PDF keeps true millimetres: print it at 100 %, with scaling off."
    >
      <ChoiceField
        label="Labels for"
        value={kind}
        onChange={(next) => {
          setKind(next);
          setSubjects([]);
          setTemplateId('');
        }}
        choices={KINDS}
      />
      <Loaded query={templates} what="Asking for the templates">
        {({ rows }) => {
          const offered = rows.filter(({ subject }) => subject === kind);
          const template = offered.find(({ id }) => id === templateId) ?? usual(offered, kind);
          if (!template) return <Empty title="There is no template for this yet" />;
          const input: LabelInput = {
            templateId: template.id,
            subjectIds: subjects.map(({ id }) => id),
            dpi: Number(dpi) as 203 | 300 | 600,
            startPosition: 1,
            outline: false,
          };
          return (
            <div className="columns">
              <div className="stack">
                <LabelSubjects kind={kind} subjects={subjects} onChange={setSubjects} />
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
                    <ChoiceField
                      label="Printer resolution"
                      hint="For PNG and printer language: modules become whole dots"
                      value={dpi}
                      onChange={setDpi}
                      choices={[
                        { value: '203', label: '203 dpi' },
                        { value: '300', label: '300 dpi' },
                        { value: '600', label: '600 dpi' },
                      ]}
                    />
                  </div>
                </Card>
                {subjects.length > 0 && (
                  <PrintForm kind={kind} template={template} input={input} subjects={subjects} />
                )}
              </div>
              <Card title="Preview">
                {subjects.length > 0 ? (
                  <LabelPreview template={template} input={input} />
                ) : (
                  <Empty title="Nothing chosen yet">Scan or type a code to see its label.</Empty>
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
function usual(
  offered: readonly LabelTemplateInfo[],
  kind: SubjectKind,
): LabelTemplateInfo | undefined {
  const last = localStorage.getItem(LAST + kind);
  const byArea = [...offered].sort((a, b) => b.widthMm * b.heightMm - a.widthMm * a.heightMm);
  return offered.find(({ id }) => id === last) ?? byArea[0];
}

const nameOf = ({ name, widthMm, heightMm, medium, perSheet }: LabelTemplateInfo): string =>
  `${name}, ${format.number(widthMm)} × ${format.number(heightMm)} mm, ${
    medium === 'sheet' ? `${format.number(perSheet)} to a sheet` : 'on a roll'
  }`;
