import { api, type LabelTemplateInfo } from '@rundlet/contracts';
import { useEffect, useState } from 'react';
import { useApi } from '../../data/client.ts';
import { Failed, format, Loading, Notice } from '../../kit/kit.ts';
import { CodeReports } from './code-reports.tsx';
import { firstOf, previewAddress, type LabelInput } from './label-job.ts';
import './label-preview.css';

/** The first label as it will be printed, and what is to be said about its codes. */
export function LabelPreview({
  template,
  input,
}: {
  template: LabelTemplateInfo;
  input: LabelInput;
}) {
  const [picture, setPicture] = useState<{ address: string } | { error: unknown } | null>(null);
  const { templateId, subjectIds, spareCodes, dpi, printerId } = firstOf(input);
  const key = JSON.stringify([templateId, subjectIds, spareCodes, dpi, printerId]);
  useEffect(() => {
    let address: string | null = null;
    let gone = false;
    setPicture(null);
    previewAddress(input).then(
      (made) => {
        address = made;
        if (gone) URL.revokeObjectURL(made);
        else setPicture({ address: made });
      },
      (error: unknown) => {
        if (!gone) setPicture({ error });
      },
    );
    return () => {
      gone = true;
      if (address) URL.revokeObjectURL(address);
    };
    // The key names what of the input the picture depends on.
  }, [key]);
  return (
    <div className="stack">
      <div className="label-frame">
        {picture === null ? (
          <Loading what="Drawing the label" />
        ) : 'error' in picture ? (
          <Failed error={picture.error} />
        ) : (
          <img
            src={picture.address}
            alt={`The first label, ${format.number(template.widthMm)} by ${format.number(template.heightMm)} mm`}
          />
        )}
      </div>
      <LabelCheck input={input} />
    </div>
  );
}

function LabelCheck({ input }: { input: LabelInput }) {
  const check = useApi(api.labels.check, { body: { ...firstOf(input), format: 'pdf' } });
  if (!check.data) return null;
  const { warnings, codes } = check.data;
  return (
    <>
      <CodeReports codes={codes} />
      {warnings.map((warning) => (
        <Notice key={warning} tone="caution">
          {warning}
        </Notice>
      ))}
    </>
  );
}
