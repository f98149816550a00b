/** The template format: one JSON object, all lengths in millimetres from the label's top left corner, type sizes in points. */
import { z } from 'zod';
import { isFieldName } from './fields.ts';
import { sheetSchema } from './sheet.ts';
import { parseWording } from './wording.ts';

export const FONT_NAMES = [
  'serif',
  'serif-bold',
  'serif-italic',
  'sans',
  'sans-bold',
  'mono',
  'mono-bold',
] as const;
export type FontName = (typeof FONT_NAMES)[number];

const mm = z.number().finite().min(0).max(1000);
const fieldName = z.string().refine(isFieldName, {
  error: (issue) =>
    `"${String(issue.input)}" is not a field; FIELDS lists them, own ones are own.<name>`,
});

/** When an item is drawn: a field has a value, has none, or has one of the values given. All that is given must hold. */
const condition = z.strictObject({
  has: fieldName.optional(),
  lacks: fieldName.optional(),
  field: fieldName.optional(),
  is: z
    .array(z.union([z.string(), z.number()]))
    .min(1)
    .optional(),
});

const common = { when: condition.optional(), note: z.string().optional() };
const ink = z.enum(['ink', 'paper']).default('ink');
const wording = z.string().min(1).max(500);

const textItem = z.strictObject({
  kind: z.literal('text'),
  ...common,
  xMm: mm,
  yMm: mm,
  widthMm: mm.positive(),
  heightMm: mm.positive(),
  text: wording,
  font: z.enum(FONT_NAMES).default('sans'),
  /** The size wanted; text that does not fit its box is set smaller, down to `minPt`, then wrapped or cut short. */
  sizePt: z.number().min(3).max(400),
  minPt: z.number().min(3).max(400).optional(),
  lines: z.number().int().min(1).max(20).default(1),
  align: z.enum(['left', 'centre', 'right']).default('left'),
  valign: z.enum(['top', 'middle', 'bottom']).default('top'),
  /** Extra space between letters, thousandths of the type size. */
  tracking: z.number().min(-100).max(500).default(0),
  colour: ink,
});

const ruleItem = z.strictObject({
  kind: z.literal('rule'),
  ...common,
  xMm: mm,
  yMm: mm,
  lengthMm: mm.positive(),
  direction: z.enum(['across', 'down']).default('across'),
  strokeMm: z.number().min(0.05).max(20).default(0.25),
});

const boxItem = z.strictObject({
  kind: z.literal('box'),
  ...common,
  xMm: mm,
  yMm: mm,
  widthMm: mm.positive(),
  heightMm: mm.positive(),
  /** 0 and `filled` make a bar of solid ink. */
  strokeMm: z.number().min(0).max(20).default(0.25),
  filled: z.boolean().default(false),
});

const ringItem = z.strictObject({
  kind: z.literal('ring'),
  ...common,
  xMm: mm,
  yMm: mm,
  radiusMm: mm.positive(),
  strokeMm: z.number().min(0.05).max(20).default(0.25),
});

const qrItem = z.strictObject({
  kind: z.literal('qr'),
  ...common,
  xMm: mm,
  yMm: mm,
  /** Side of the square that symbol and quiet zone may take; what whole dots leave over stays empty around it. */
  sizeMm: mm.min(5),
  text: wording,
  level: z.enum(['L', 'M', 'Q', 'H']).default('Q'),
});

const linearItem = z.strictObject({
  kind: z.enum(['code128', 'gs1-128']),
  ...common,
  xMm: mm,
  yMm: mm,
  widthMm: mm.min(10),
  heightMm: mm.min(3),
  text: wording,
  /** The widest module wanted: a short code in a wide box need not fill it. */
  maxModuleMm: z.number().min(0.1).max(3).default(0.5),
  align: z.enum(['left', 'centre', 'right']).default('centre'),
});

const item = z.discriminatedUnion('kind', [
  textItem,
  ruleItem,
  boxItem,
  ringItem,
  qrItem,
  linearItem,
]);

const words = z.record(z.string().regex(/^[a-z][A-Za-z0-9]*$/), z.string());

export const templateSchema = z
  .strictObject({
    format: z.literal('rundlet-label/1'),
    name: z.string().min(1).max(80),
    description: z.string().max(500).default(''),
    subject: z.enum(['cask', 'position', 'sample', 'vat', 'bottling-run']),
    widthMm: z.number().min(10).max(500),
    heightMm: z.number().min(10).max(500),
    /** A disc is cut to the circle that fits the box. */
    shape: z.enum(['rectangle', 'disc']).default('rectangle'),
    /** Nothing is printed in a square of this side at each corner: staples and tacks go there. */
    cornersFreeMm: z.number().min(0).max(30).default(0),
    /** Metres from which the largest code should be read; the check before printing compares. */
    readFromM: z.number().min(0.05).max(10).default(0.3),
    sheet: sheetSchema.optional(),
    requires: z.array(fieldName).default([]),
    language: z
      .string()
      .regex(/^[a-z]{2}(-[A-Z]{2})?$/)
      .default('en'),
    words: z.record(z.string().regex(/^[a-z]{2}(-[A-Z]{2})?$/), words).default({}),
    items: z.array(item).min(1).max(200),
  })
  .superRefine((template, context) => {
    const own = template.words[template.language] ?? {};
    for (const [index, { text }] of template.items
      .map((entry) => ({ text: '', ...entry }))
      .entries())
      for (const message of wordingFaults(text, own))
        context.addIssue({ code: 'custom', path: ['items', index, 'text'], message });
    const { sheet } = template;
    if (
      sheet &&
      (sheet.labelWidthMm !== template.widthMm || sheet.labelHeightMm !== template.heightMm)
    )
      context.addIssue({
        code: 'custom',
        path: ['sheet'],
        message: `its labels are ${sheet.labelWidthMm} × ${sheet.labelHeightMm} mm, the template is ${template.widthMm} × ${template.heightMm} mm`,
      });
  });

export type Template = z.output<typeof templateSchema>;
export type Item = Template['items'][number];
export type TextItem = z.output<typeof textItem>;
export type QrItem = z.output<typeof qrItem>;
export type LinearItem = z.output<typeof linearItem>;
export type Condition = z.output<typeof condition>;

export type TemplateResult =
  | { status: 'ok'; template: Template }
  | { status: 'invalid'; problems: readonly { path: string; message: string }[] };

/** Checks a template as read from JSON (the object, not its text). Paths are JSON pointers. */
export function parseTemplate(json: unknown): TemplateResult {
  const result = templateSchema.safeParse(json);
  if (result.success) return { status: 'ok', template: result.data };
  return {
    status: 'invalid',
    problems: result.error.issues.map(({ path, message }) => ({
      path: path.map((step) => `/${String(step)}`).join(''),
      message,
    })),
  };
}

function wordingFaults(text: string, words: Readonly<Record<string, string>>): string[] {
  try {
    return parseWording(text).flatMap((part) => {
      if (part.kind === 'field' && !isFieldName(part.name))
        return [`"{${part.name}}" is not a field; FIELDS lists them, own ones are own.<name>`];
      if (part.kind === 'word' && words[part.name] === undefined)
        return [`"{@${part.name}}" is not among the words of the template's own language`];
      return [];
    });
  } catch (error) {
    return [(error as RangeError).message];
  }
}
