import { api, Problem, type Endpoint } from '@rundlet/contracts';
import { z } from 'zod';

type Json = Readonly<Record<string, unknown>>;
interface ObjectSchema {
  readonly properties?: Readonly<Record<string, Json>>;
  readonly required?: readonly string[];
}

/** OpenAPI 3.1 description of every endpoint, made from the contracts. */
export function openApiDocument(): Json {
  const paths: Record<string, Record<string, Json>> = {};
  for (const [feature, endpoints] of Object.entries(api))
    for (const [name, endpoint] of Object.entries(endpoints as Record<string, Endpoint>)) {
      const path = endpoint.path.replace(/:(\w+)/g, '{$1}');
      (paths[path] ??= {})[endpoint.method.toLowerCase()] = operation(feature, name, endpoint);
    }
  return {
    openapi: '3.1.0',
    info: {
      title: 'Rundlet',
      version: '0.1.0',
      description:
        'Casks, their journal, forecasts and blends. Quantities carry their unit in their name; instants are ISO 8601 in UTC; refusals are RFC 9457 problem details.',
      license: { name: 'MIT', identifier: 'MIT' },
    },
    tags: Object.keys(api).map((name) => ({ name })),
    paths,
    components: {
      schemas: { Problem: schemaOf(Problem, 'output') },
      securitySchemes: {
        session: { type: 'apiKey', in: 'cookie', name: 'rundlet_session' },
        csrf: {
          type: 'apiKey',
          in: 'header',
          name: 'x-csrf-token',
          description:
            'With the cookie, on everything but GET: the token GET /api/session answers with.',
        },
        device: { type: 'http', scheme: 'bearer' },
      },
    },
  };
}

function operation(feature: string, name: string, endpoint: Endpoint): Json {
  const { access, method } = endpoint;
  const session = method === 'GET' ? { session: [] } : { session: [], csrf: [] };
  const body = schemaOf(endpoint.body, 'input');
  return {
    operationId: `${feature}.${name}`,
    tags: [feature],
    summary: endpoint.summary,
    description:
      access === 'public'
        ? 'Open to everybody.'
        : access === 'signed-in'
          ? 'For anybody signed in.'
          : `Needs the role \`${access}\` or one that includes it.`,
    parameters: [...parameters('path', endpoint.params), ...parameters('query', endpoint.query)],
    ...(method === 'POST' ? { requestBody: { required: true, content: json(body) } } : {}),
    responses: {
      '200': {
        description: 'Done.',
        content: endpoint.file
          ? { [endpoint.file]: { schema: { type: 'string', contentMediaType: endpoint.file } } }
          : json(schemaOf(endpoint.response, 'output')),
      },
      default: {
        description: 'Refused: what is wrong, where, and what would be right.',
        content: {
          'application/problem+json': { schema: { $ref: '#/components/schemas/Problem' } },
        },
      },
    },
    security: access === 'public' ? [{}] : [session, { device: [] }],
  };
}

function parameters(where: 'path' | 'query', schema: z.ZodType): Json[] {
  const { properties = {}, required = [] } = schemaOf(schema, 'input') as ObjectSchema;
  return Object.entries(properties).map(([name, property]) => ({
    name,
    in: where,
    required: where === 'path' || required.includes(name),
    schema: property,
  }));
}

const json = (schema: Json): Json => ({ 'application/json': { schema } });

function schemaOf(schema: z.ZodType, io: 'input' | 'output'): Json {
  const made: Record<string, unknown> = {
    ...z.toJSONSchema(schema, { io, unrepresentable: 'any' }),
  };
  // The dialect of the whole document is OpenAPI's own.
  delete made['$schema'];
  return made;
}
