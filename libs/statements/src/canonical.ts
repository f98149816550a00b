/**
 * RFC 8785 canonical JSON: members in the order of their names' UTF-16 code units, no spaces, numbers and strings as ECMAScript
 * writes them. A million journal entries are written so when they are verified, so what lies in that order already, as whatever
 * was read from canonical JSON does, is left to JSON.stringify: it writes the same, many times faster.
 * @throws TypeError on what JSON cannot hold: undefined, NaN, infinities, functions, big integers
 */
export function canonicalJson(value: unknown): string {
  if (isInOrder(value)) return JSON.stringify(value);
  switch (typeof value) {
    case 'number':
      throw new TypeError(`${String(value)} has no JSON form.`);
    case 'object':
      return Array.isArray(value) ? array(value) : object(value as Members);
    default:
      throw new TypeError(`A value of the type ${typeof value} has no JSON form.`);
  }
}

/** The value, or an equal one, that {@link canonicalJson} writes fastest; copies made from it by spreading are so too. */
export function inCanonicalOrder<T>(value: T): T {
  return isInOrder(value) ? value : (JSON.parse(canonicalJson(value)) as T);
}

type Members = Readonly<Record<string, unknown>>;

function array(values: readonly unknown[]): string {
  let text = '[';
  for (let i = 0; i < values.length; i++) text += (i > 0 ? ',' : '') + canonicalJson(values[i]);
  return `${text}]`;
}

/** Members that are undefined are left out, as JSON.stringify does. */
function object(members: Members): string {
  let text = '';
  for (const name of Object.keys(members).sort()) {
    const member = members[name];
    if (member !== undefined)
      text += `${text === '' ? '' : ','}${JSON.stringify(name)}:${canonicalJson(member)}`;
  }
  return `{${text}}`;
}

/** Whether JSON.stringify writes the value canonically: plain objects with their names in order, and nothing it leaves out or changes. */
function isInOrder(value: unknown): boolean {
  switch (typeof value) {
    case 'string':
    case 'boolean':
      return true;
    case 'number':
      return Number.isFinite(value);
    case 'object':
      if (value === null) return true;
      return Array.isArray(value) ? areInOrder(value) : isPlainInOrder(value as Members);
    default:
      return false;
  }
}

function areInOrder(values: readonly unknown[]): boolean {
  for (const value of values) if (!isInOrder(value)) return false;
  return true;
}

function isPlainInOrder(members: Members): boolean {
  if (Object.getPrototypeOf(members) !== Object.prototype) return false;
  let before: string | null = null;
  for (const name in members) {
    if ((before !== null && name < before) || !isInOrder(members[name])) return false;
    before = name;
  }
  return true;
}
