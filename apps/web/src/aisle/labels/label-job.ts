import {
  api,
  type LabelFormat,
  type LabelRequest,
  type LabelTemplateInfo,
} from '@rundlet/contracts';
import type { z } from 'zod';
import { client } from '../../data/client.ts';
import { download } from '../../data/download.ts';

export type Format = z.infer<typeof LabelFormat>;
export type LabelInput = Omit<LabelRequest, 'format'>;

const SUFFIX: Record<Format, string> = { pdf: 'pdf', svg: 'svg', png: 'png', zpl: 'zpl' };

/** One rendered label as an address for a picture. @throws RefusedError, UnreachableError */
export async function previewAddress(input: LabelInput): Promise<string> {
  const { bytes } = await client.file(api.labels.render, {
    body: { ...input, subjectIds: input.subjectIds.slice(0, 1), format: 'svg', startPosition: 1 },
  });
  return URL.createObjectURL(new Blob([bytes], { type: 'image/svg+xml' }));
}

/** Renders all and hands the file over. @throws RefusedError, UnreachableError */
export async function downloadLabels(
  input: LabelInput,
  format: Format,
  template: LabelTemplateInfo,
): Promise<void> {
  const { bytes, contentType, fileName } = await client.file(api.labels.render, {
    body: { ...input, format },
  });
  const suffix = contentType.includes('zip') ? 'zip' : SUFFIX[format];
  download(bytes, fileName ?? `labels-${template.id}.${suffix}`, contentType);
}
