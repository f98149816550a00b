import { z } from 'zod';
import { endpoint } from '../endpoint.ts';
import { Id } from '../primitives.ts';

export const LabelTemplateInfo = z.strictObject({
  id: z.string(),
  name: z.string(),
  subject: z.enum(['cask', 'position', 'sample', 'blend']),
  widthMm: z.number(),
  heightMm: z.number(),
  medium: z.enum(['roll', 'sheet']),
  perSheet: z.int(),
  description: z.string(),
});
export type LabelTemplateInfo = z.infer<typeof LabelTemplateInfo>;

export const LabelFormat = z.enum(['pdf', 'svg', 'png', 'zpl']);
export const LabelRequest = z.strictObject({
  templateId: z.string(),
  subjectIds: z.array(Id).min(1).max(5000),
  format: LabelFormat,
  dpi: z.union([z.literal(203), z.literal(300), z.literal(600)]).default(300),
  /** First free place on a part-used sheet, counted from 1. */
  startPosition: z.int().min(1).max(200).default(1),
  outline: z.boolean().default(false),
  /** Language of the template's words, like `fr`; the template's own when it has no such words. */
  language: z
    .string()
    .regex(/^[a-z]{2}(-[A-Z]{2})?$/, 'a language is needed, like fr or pt-BR')
    .optional(),
});
export type LabelRequest = z.infer<typeof LabelRequest>;

export const labelsApi = {
  templates: endpoint({
    method: 'GET',
    path: '/api/label-templates',
    summary: 'Label templates',
    access: 'read',
    response: z.strictObject({ rows: z.array(LabelTemplateInfo) }),
  }),
  check: endpoint({
    method: 'POST',
    path: '/api/labels/check',
    summary: 'Warnings about module size, quiet zone and reading distance',
    access: 'read',
    body: LabelRequest,
    response: z.strictObject({
      warnings: z.array(z.string()),
      readingDistanceM: z.number().nullable(),
    }),
  }),
  render: endpoint({
    method: 'POST',
    path: '/api/labels/render',
    summary: 'Labels as PDF, SVG, PNG or printer language',
    access: 'warehouse',
    body: LabelRequest,
    response: z.unknown(),
    file: 'application/octet-stream',
  }),
};
