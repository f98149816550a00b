import { api, type LabelFormat, type LabelRequest } from '@rundlet/contracts';
import type { z } from 'zod';
import { client } from '../../data/client.ts';
import { download } from '../../data/download.ts';

export type Format = z.infer<typeof LabelFormat>;
export type LabelInput = Omit<LabelRequest, 'format'>;

/** The first label alone: what is looked at before all are made. */
export const firstOf = (input: LabelInput): LabelInput => ({
  ...input,
  subjectIds: input.subjectIds.slice(0, 1),
  spareCodes: input.subjectIds.length > 0 ? [] : input.spareCodes.slice(0, 1),
  startPosition: 1,
});

/** One rendered label as an address for a picture. @throws RefusedError, UnreachableError */
export async function previewAddress(input: LabelInput): Promise<string> {
  const { bytes } = await client.file(api.labels.render, {
    body: { ...firstOf(input), format: 'svg' },
  });
  return URL.createObjectURL(new Blob([bytes], { type: 'image/svg+xml' }));
}

/** Begins to make them all. @returns the job's id. @throws RefusedError, UnreachableError */
export async function startRun(input: LabelInput, format: Format): Promise<string> {
  return (await client.call(api.labels.run, { body: { ...input, format } })).jobId;
}

/** Hands over what a finished run made. @throws RefusedError, UnreachableError */
export async function downloadRun(jobId: string): Promise<void> {
  const { bytes, contentType, fileName } = await client.file(api.labels.runFile, {
    params: { id: jobId },
  });
  download(bytes, fileName ?? 'labels', contentType);
}

/** A test sheet of this template as that printer prints it. @throws RefusedError, UnreachableError */
export async function downloadTestSheet(
  templateId: string,
  printerId: string | null,
  format: 'pdf' | 'zpl',
): Promise<void> {
  const { bytes, contentType, fileName } = await client.file(api.labels.testSheet, {
    params: { id: templateId },
    query: { format, ...(printerId === null ? {} : { printerId }) },
  });
  download(bytes, fileName ?? `test-${templateId}.${format}`, contentType);
}
