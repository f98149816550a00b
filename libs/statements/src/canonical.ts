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
  let text = '';
  for (const name of Object.keys(value).sort()) {
    const member = members[name];
    if (member === undefined) continue;
    text += `${text === '' ? '' : ','}${JSON.stringify(name)}:${canonicalJson(member)}`;
  }
  return `{${text}}`;
}
