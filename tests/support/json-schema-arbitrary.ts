/** Random values from a JSON Schema: what it allows, its edges, and what nobody should send. */
import fc from 'fast-check';

export interface Schema {
  readonly type?: string | readonly string[];
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly required?: readonly string[];
  readonly additionalProperties?: Schema | boolean;
  readonly propertyNames?: Schema;
  readonly items?: Schema;
  readonly prefixItems?: readonly Schema[];
  readonly anyOf?: readonly Schema[];
  readonly oneOf?: readonly Schema[];
  readonly allOf?: readonly Schema[];
  readonly const?: unknown;
  readonly enum?: readonly unknown[];
  readonly format?: string;
  readonly pattern?: string;
  readonly minLength?: number;
  readonly maxLength?: number;
  readonly minItems?: number;
  readonly maxItems?: number;
  readonly minimum?: number;
  readonly maximum?: number;
  readonly exclusiveMinimum?: number;
  readonly exclusiveMaximum?: number;
  readonly $ref?: string;
  readonly $defs?: Readonly<Record<string, Schema>>;
}

/** What a bad client or a bad day sends in the place of any value. */
const HOSTILE: readonly unknown[] = [
  null,
  true,
  -1,
  0,
  1e308,
  -1e308,
  1e-308,
  2 ** 53,
  '',
  ' ',
  '\u0000',
  'a\u0000b',
  '\ud800',
  '‮reversed',
  '😀'.repeat(50),
  'x'.repeat(5_000),
  "'; DROP TABLE cask; --",
  '" OR ""="',
  '%00%',
  '../../../../etc/passwd',
  '=cmd()',
  '<script>alert(1)</script>',
  '${7*7}',
  'NaN',
  'Infinity',
  '1e999',
  '-0',
  '9999-99-99',
  '0000-01-01T00:00:00.000Z',
  '+275760-09-13T00:00:00.000Z',
  [],
  [[[[[[[[[[]]]]]]]]]],
  {},
  { __proto__: null, constructor: { prototype: { polluted: true } } },
  Array.from({ length: 3_000 }, (_, i) => i),
];

/** A value of the schema; ids are drawn from `ids` as often as invented, so that some of them exist. */
export function validFor(
  schema: Schema,
  ids: readonly string[],
  root = schema,
): fc.Arbitrary<unknown> {
  const of = (s: Schema): fc.Arbitrary<unknown> => validFor(s, ids, root);
  if (schema.$ref !== undefined) {
    const name = schema.$ref.split('/').pop() ?? '';
    const target = schema.$ref === '#' ? root : root.$defs?.[name];
    return target ? fc.constant(null).chain(() => of(target)) : fc.anything();
  }
  if ('const' in schema) return fc.constant(schema.const);
  if (schema.enum) return fc.constantFrom(...schema.enum);
  const choices = schema.anyOf ?? schema.oneOf;
  if (choices) return fc.oneof(...choices.map(of));
  if (schema.allOf) return of(Object.assign({}, ...schema.allOf) as Schema);
  const types = typeof schema.type === 'string' ? [schema.type] : (schema.type ?? ['any']);
  return fc.oneof(...types.map((type) => ofType(type, schema, ids, of)));
}

function ofType(
  type: string,
  schema: Schema,
  ids: readonly string[],
  of: (s: Schema) => fc.Arbitrary<unknown>,
): fc.Arbitrary<unknown> {
  switch (type) {
    case 'string':
      return string(schema, ids);
    case 'integer':
      return fc.integer({
        min: Math.ceil(schema.minimum ?? (schema.exclusiveMinimum ?? -1e6 - 1) + 1),
        max: Math.floor(schema.maximum ?? (schema.exclusiveMaximum ?? 1e6 + 1) - 1),
      });
    case 'number': {
      const [min, max] = [
        schema.minimum ?? schema.exclusiveMinimum ?? -1e9,
        schema.maximum ?? schema.exclusiveMaximum ?? 1e9,
      ];
      return fc.oneof(
        fc.double({ min, max, noNaN: true }),
        // What people type, and the edges.
        fc.double({ min, max: Math.max(min, Math.min(max, 300)), noNaN: true }).map((v) => {
          const rounded = Math.round(v);
          return rounded >= min && rounded <= max ? rounded : v;
        }),
        fc.constantFrom(min, max),
      );
    }
    case 'boolean':
      return fc.boolean();
    case 'null':
      return fc.constant(null);
    case 'array': {
      if (schema.prefixItems) return fc.tuple(...schema.prefixItems.map(of));
      const minLength = schema.minItems ?? 0;
      return fc.array(of(schema.items ?? {}), {
        minLength,
        maxLength: Math.max(minLength, Math.min(schema.maxItems ?? 4, 4)),
      });
    }
    case 'object': {
      const { properties = {}, required = [], additionalProperties } = schema;
      if (Object.keys(properties).length === 0 && typeof additionalProperties === 'object')
        return fc.dictionary(
          schema.propertyNames ? (of(schema.propertyNames) as fc.Arbitrary<string>) : fc.string(),
          of(additionalProperties),
          { maxKeys: 3 },
        );
      return fc.record(
        Object.fromEntries(Object.entries(properties).map(([key, s]) => [key, of(s)])),
        { requiredKeys: [...required] },
      );
    }
    default:
      return fc.constantFrom(...HOSTILE);
  }
}

function string(schema: Schema, ids: readonly string[]): fc.Arbitrary<string> {
  const id = fc.constantFrom(...ids, '0190f2a0-0000-7000-8000-00000000ffff');
  if (schema.format === 'uuid') return fc.oneof(id, fc.uuid());
  if (schema.format === 'date')
    return fc
      .date({ min: new Date('1990-01-01'), max: new Date('2090-01-01'), noInvalidDate: true })
      .map((d) => d.toISOString().slice(0, 10));
  if (schema.format === 'date-time')
    return fc
      .date({ min: new Date('1990-01-01'), max: new Date('2030-01-01'), noInvalidDate: true })
      .map((d) => d.toISOString());
  if (schema.pattern !== undefined) {
    try {
      return fc.stringMatching(new RegExp(schema.pattern));
    } catch {
      return fc.string();
    }
  }
  const minLength = schema.minLength ?? 0;
  return fc.oneof(
    fc.string({ minLength, maxLength: Math.max(minLength, Math.min(schema.maxLength ?? 40, 40)) }),
    id,
  );
}

/** A value of the schema with one place in it, any place, replaced by what nobody should send. */
export function hostileFor(schema: Schema, ids: readonly string[]): fc.Arbitrary<unknown> {
  return fc
    .tuple(validFor(schema, ids), fc.constantFrom(...HOSTILE), fc.nat())
    .map(([value, bad, at]) => {
      const places = placesOf(value);
      const place = places[at % places.length] ?? [];
      return replaced(value, place, bad);
    });
}

type Place = readonly (string | number)[];

function placesOf(value: unknown, here: Place = []): Place[] {
  if (typeof value !== 'object' || value === null) return [here];
  return [
    here,
    ...Object.entries(value).flatMap(([key, inner]) => placesOf(inner, [...here, key])),
  ];
}

function replaced(value: unknown, [key, ...rest]: Place, by: unknown): unknown {
  if (key === undefined) return by;
  const copy = (
    Array.isArray(value) ? [...(value as unknown[])] : { ...(value as object) }
  ) as Record<string, unknown>;
  copy[key] = replaced(copy[key], rest, by);
  return copy;
}
