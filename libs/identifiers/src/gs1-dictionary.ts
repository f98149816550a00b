/**
 * The application identifiers (AIs) a cask house meets: its assets, places, liquids and shipments. Shapes are rows of the
 * GS1 Barcode Syntax Dictionary (github.com/gs1/gs1-syntax-dictionary).
 */
import { checkGiai, checkGln, checkGrai, checkGtin, checkSscc, type KeyCheck } from './gs1-key.ts';

export interface ApplicationIdentifier {
  readonly ai: string;
  readonly title: string;
  readonly digitsOnly: boolean;
  readonly minLength: number;
  readonly maxLength: number;
  /** The further rule of a key: its check digit or its leading company prefix. */
  readonly check?: (value: string) => KeyCheck;
  /** For a key that can head a Digital Link: the qualifiers it may carry, in the order they are written. */
  readonly qualifiers?: readonly (readonly string[])[];
  /** Whether it may stand in the query of a Digital Link. */
  readonly attribute?: boolean;
}

const digits = (ai: string, title: string, length: number, more = {}): ApplicationIdentifier => ({
  ai,
  title,
  digitsOnly: true,
  minLength: length,
  maxLength: length,
  attribute: true,
  ...more,
});
const text = (ai: string, title: string, maxLength: number, more = {}): ApplicationIdentifier => ({
  ai,
  title,
  digitsOnly: false,
  minLength: 1,
  maxLength,
  attribute: true,
  ...more,
});

const qualifier = { attribute: false };

const ROWS: readonly ApplicationIdentifier[] = [
  digits('00', 'SSCC', 18, { check: checkSscc, qualifiers: [[]] }),
  digits('01', 'GTIN', 14, { check: checkGtin, qualifiers: [['22', '10', '21'], ['235']] }),
  text('8003', 'GRAI', 30, { minLength: 14, check: checkGrai, qualifiers: [[]] }),
  text('8004', 'GIAI', 30, { minLength: 5, check: checkGiai, qualifiers: [['7040']] }),
  digits('414', 'GLN of a place', 13, { check: checkGln, qualifiers: [['254', '7040']] }),
  text('10', 'batch or lot', 20, qualifier),
  text('21', 'serial', 20, qualifier),
  text('22', 'consumer product variant', 20, qualifier),
  text('235', 'third-party serial', 28, qualifier),
  text('254', 'place within a GLN', 20, qualifier),
  text('7040', 'GS1 UIC with extension', 4, { ...qualifier, minLength: 4 }),
  digits('02', 'GTIN of contents', 14, { check: checkGtin }),
  digits('11', 'production date', 6),
  digits('13', 'packaging date', 6),
  digits('15', 'best before', 6),
  digits('17', 'expiry', 6),
  text('37', 'count', 8, { digitsOnly: true }),
  text('240', 'additional product identification', 30),
  text('241', 'customer part number', 30),
  text('250', 'secondary serial', 30),
  text('251', 'source entity', 30),
  text('400', 'customer order', 30),
  digits('410', 'ship to GLN', 13, { check: checkGln }),
  digits('416', 'producing place GLN', 13, { check: checkGln }),
  text('7004', 'active potency', 4, { digitsOnly: true }),
  text('90', 'agreed between partners', 30),
  ...['91', '92', '93', '94', '95', '96', '97', '98', '99'].map((ai) =>
    text(ai, 'company internal', 90),
  ),
];

const BY_AI = new Map(ROWS.map((row) => [row.ai, row]));

export const findApplicationIdentifier = (ai: string): ApplicationIdentifier | undefined =>
  BY_AI.get(ai);

/** The AI that `data` starts with. No AI is the beginning of another, so there is one at most. */
export function leadingApplicationIdentifier(data: string): ApplicationIdentifier | undefined {
  for (const length of [2, 3, 4]) {
    const found = BY_AI.get(data.slice(0, length));
    if (found) return found;
  }
  return undefined;
}

/** What is wrong with `value` for this AI, or undefined. */
export function fault(row: ApplicationIdentifier, value: string): string | undefined {
  if (value.length < row.minLength || value.length > row.maxLength)
    return `(${row.ai}) ${row.title} has ${row.minLength} to ${row.maxLength} characters, not ${value.length}.`;
  if (row.digitsOnly && !/^\d+$/.test(value)) return `(${row.ai}) ${row.title} is digits only.`;
  if (!/^[!"%&'()*+,\-./0-9:;<=>?A-Z_a-z]+$/.test(value))
    return `(${row.ai}) ${row.title} holds a character outside GS1 CSET 82.`;
  const check = row.check?.(value);
  if (check?.status === 'wrong-shape') return check.reason;
  if (check?.status === 'wrong-check-digit')
    return `(${row.ai}) ${row.title} ${value}: check digit should be ${check.expected}.`;
  return undefined;
}
