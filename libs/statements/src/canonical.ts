/**
 * RFC 8785 canonical JSON: members in the order of their names' UTF-16 code units, no spaces, numbers and strings as ECMAScript
 * writes them. A million journal entries are written so when they are verified, hence no copies and no recursion
 * through a general serialiser.
 * @throws TypeError on what JSON cannot hold: undefined, NaN, infinities, functions, big integers
 */
export function canonicalJson(value: unknown): string {
  switch (typeof value) {
    case 'string':
      return JSON.stringify(value);
    case 'number':
      if (!Number.isFinite(value)) throw new TypeError(`${String(value)} has no JSON form.`);
      return String(value);
    case 'boolean':
      return value ? 'true' : 'false';
    case 'object':
      return value === null ? 'null' : Array.isArray(value) ? array(value) : object(value);
    default:
      throw new TypeError(`A value of the type ${typeof value} has no JSON form.`);
  }
}

function array(values: readonly unknown[]): string {
  let text = '[';
  for (let i = 0; i < values.length; i++) text += (i > 0 ? ',' : '') + canonicalJson(values[i]);
  return `${text}]`;
}

/** Members that are undefined are left out, as JSON.stringify does. */
function object(value: object): string {
  const members = value as Readonly<Record<string, unknown>>;
  const { names, labels } = inOrder(Object.keys(value));
  let text = '';
  for (let i = 0; i < names.length; i++) {
    const member = members[names[i] as string];
    if (member === undefined) continue;
    text += `${text === '' ? '' : ','}${labels[i] as string}${canonicalJson(member)}`;
  }
  return `{${text}}`;
}

interface Shape {
  readonly names: readonly string[];
  /** Each name as JSON, with its colon. */
  readonly labels: readonly string[];
}
/** Objects of one shape come by the million, so their order is worked out once. */
const shapes = new Map<string, Shape>();
const MOST_SHAPES = 2000;
/** Small objects are mostly tables keyed by ids, no two alike. */
const LEAST_NAMES = 4;
const BETWEEN = '\u0000';

function inOrder(names: readonly string[]): Shape {
  if (names.length < LEAST_NAMES) return shapeOf(names);
  const key = names.join(BETWEEN);
  const known = shapes.get(key);
  // Names that hold the sign between them could make up another shape's key, but never with as many names.
  if (known?.names.length === names.length) return known;
  const shape = shapeOf(names);
  if (shapes.size < MOST_SHAPES && !names.some((name) => name.includes(BETWEEN)))
    shapes.set(key, shape);
  return shape;
}

function shapeOf(names: readonly string[]): Shape {
  const sorted = [...names].sort();
  return { names: sorted, labels: sorted.map((name) => `${JSON.stringify(name)}:`) };
}
