import { z } from 'zod';
import { endpoint } from '../endpoint.ts';
import { Code, Id, Instant, TemplateId } from '../primitives.ts';
import { LABEL_SUBJECTS, Printer } from '../records.ts';

export const LabelTemplateInfo = z.strictObject({
  id: z.string(),
  name: z.string(),
  subject: z.enum(LABEL_SUBJECTS),
  widthMm: z.number(),
  heightMm: z.number(),
  medium: z.enum(['roll', 'sheet']),
  perSheet: z.int(),
  columns: z.int(),
  description: z.string(),
  /** Whether it can be printed with nothing but a code, before there is a cask. */
  spare: z.boolean(),
  /** Saved here by the site, not part of the program. */
  own: z.boolean(),
});
export type LabelTemplateInfo = z.infer<typeof LabelTemplateInfo>;

const Dpi = z.union([z.literal(203), z.literal(300), z.literal(600)]);
/** Language of the template's words, like `fr`; the template's own when it has no such words. */
const Language = z
  .string()
  .regex(/^[a-z]{2}(-[A-Z]{2})?$/, 'a language is needed, like fr or pt-BR')
  .optional();

export const LabelFormat = z.enum(['pdf', 'svg', 'png', 'zpl']);
export const LabelRequest = z
  .strictObject({
    templateId: z.string(),
    subjectIds: z.array(Id).max(5000).default([]),
    /** Codes of spare labels, for templates of casks. */
    spareCodes: z.array(Code).max(500).default([]),
    format: LabelFormat,
    /** Its resolution and offsets; without one the resolution below and no offset. */
    printerId: Id.nullable().default(null),
    dpi: Dpi.default(300),
    /** First free place on a part-used sheet, counted from 1. */
    startPosition: z.int().min(1).max(200).default(1),
    outline: z.boolean().default(false),
    language: Language,
  })
  .refine(({ subjectIds, spareCodes }) => subjectIds.length + spareCodes.length > 0, {
    error: 'say what gets a label',
    path: ['subjectIds'],
  });
export type LabelRequest = z.infer<typeof LabelRequest>;

/** A code on a label as one printer prints it. */
export const CodeReport = z.strictObject({
  symbology: z.enum(['qr', 'code128', 'gs1-128']),
  text: z.string(),
  level: z.string().nullable(),
  moduleMm: z.number(),
  moduleDots: z.int(),
  /** Side or length, quiet zone included. */
  widthMm: z.number(),
  quietZoneMm: z.number(),
  readingDistanceM: z.number(),
});
export type CodeReport = z.infer<typeof CodeReport>;

/** A template that is being written: what it looks like, or what is wrong with it and where. */
export const TemplateTrial = z.strictObject({
  svg: z.string().nullable(),
  widthMm: z.number(),
  heightMm: z.number(),
  codes: z.array(CodeReport),
  /** Named at a line of the text where there is one; faults keep it from being used, cautions do not. */
  problems: z.array(
    z.strictObject({
      tone: z.enum(['fault', 'caution']),
      message: z.string(),
      path: z.string(),
      line: z.int().nullable(),
      column: z.int().nullable(),
    }),
  ),
});
export type TemplateTrial = z.infer<typeof TemplateTrial>;

const ByTemplate = z.strictObject({ id: TemplateId });

export const labelsApi = {
  templates: endpoint({
    method: 'GET',
    path: '/api/label-templates',
    summary: 'Label templates',
    access: 'read',
    response: z.strictObject({
      rows: z.array(LabelTemplateInfo),
      /** Templates of the site that can't be used, and why. */
      faulty: z.array(z.strictObject({ id: z.string(), problem: z.string() })),
    }),
  }),
  template: endpoint({
    method: 'GET',
    path: '/api/label-templates/:id',
    summary: 'A label template as JSON text',
    access: 'read',
    params: ByTemplate,
    response: z.strictObject({ id: z.string(), own: z.boolean(), text: z.string() }),
  }),
  try: endpoint({
    method: 'POST',
    path: '/api/label-templates/try',
    summary: 'Draws a template that is being written, and names its problems at their lines',
    access: 'read',
    body: z.strictObject({
      text: z.string().max(200_000),
      /** Whose fields are put in: examples, only what the template requires, or a record’s. */
      fields: z.enum(['examples', 'required', 'record']),
      subjectId: Id.nullable(),
      dpi: Dpi,
      language: Language,
    }),
    response: TemplateTrial,
  }),
  testSheet: endpoint({
    method: 'GET',
    path: '/api/label-templates/:id/test-sheet',
    summary: 'Outlines and rules, to measure a printer’s offsets on',
    access: 'read',
    params: ByTemplate,
    query: z.strictObject({
      printerId: Id.optional(),
      format: z.enum(['pdf', 'zpl']).default('pdf'),
    }),
    response: z.unknown(),
    file: 'application/octet-stream',
  }),
  printers: endpoint({
    method: 'GET',
    path: '/api/printers',
    summary: 'Printers in use',
    access: 'read',
    response: z.strictObject({ rows: z.array(Printer) }),
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
      /** Of the first label. */
      codes: z.array(CodeReport),
    }),
  }),
  printed: endpoint({
    method: 'POST',
    path: '/api/labels/printed',
    summary: 'Which of these had labels before',
    access: 'read',
    body: z.strictObject({ subjectIds: z.array(Id).min(1).max(5000) }),
    response: z.strictObject({
      rows: z.array(z.strictObject({ subjectId: Id, times: z.int(), lastAt: Instant })),
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
  run: endpoint({
    method: 'POST',
    path: '/api/label-runs',
    summary: 'The same as a job, for many: progress by the job, the file when it is done',
    access: 'warehouse',
    body: LabelRequest,
    response: z.strictObject({ jobId: Id }),
  }),
  runFile: endpoint({
    method: 'GET',
    path: '/api/label-runs/:id/file',
    summary: 'What a finished run of labels made; kept for a week',
    access: 'warehouse',
    params: z.strictObject({ id: Id }),
    response: z.unknown(),
    file: 'application/octet-stream',
  }),
  spares: endpoint({
    method: 'GET',
    path: '/api/spare-labels',
    summary: 'Spare labels that are on no cask yet, newest first',
    access: 'read',
    response: z.strictObject({
      open: z.int(),
      rows: z.array(z.strictObject({ code: z.string(), templateId: z.string(), at: Instant })),
    }),
  }),
};
