import {
  applyDecorators,
  createParamDecorator,
  HttpCode,
  RequestMapping,
  RequestMethod,
  SetMetadata,
  type ExecutionContext,
} from '@nestjs/common';
import type { AnswerOf, Endpoint, InputOf } from '@rundlet/contracts';
import type { Response } from 'express';
import type { Actor, RundletRequest } from './actor.ts';
import { Unauthenticated } from './refusals.ts';

const ENDPOINT = 'rundlet:endpoint';
const OPEN = 'rundlet:open';

type Handler<E extends Endpoint> = (
  input: InputOf<E>,
  ...rest: never[]
) => E extends { readonly file: string } ? Promise<unknown> : Promise<AnswerOf<E>>;

/**
 * Serves an endpoint of the contracts' table: its method, path and access come from there, and the method underneath
 * must take what the contract takes and answer what it answers.
 */
export function Serves<E extends Endpoint>(endpoint: E) {
  const method = { GET: RequestMethod.GET, POST: RequestMethod.POST, DELETE: RequestMethod.DELETE };
  const decorate = applyDecorators(
    RequestMapping({ method: method[endpoint.method], path: endpoint.path }),
    HttpCode(200),
    SetMetadata(ENDPOINT, endpoint),
  );
  return <H extends Handler<E>>(
    target: object,
    key: string | symbol,
    descriptor: TypedPropertyDescriptor<H>,
  ): void => {
    decorate(target, key, descriptor);
  };
}

/** A route outside the table that anybody may ask for: health, documentation. */
export const Open = (): MethodDecorator & ClassDecorator => SetMetadata(OPEN, true);

export function endpointOf(handler: object): Endpoint | undefined {
  return Reflect.getMetadata(ENDPOINT, handler) as Endpoint | undefined;
}
export const isOpen = (context: ExecutionContext): boolean =>
  Reflect.getMetadata(OPEN, context.getHandler()) === true ||
  Reflect.getMetadata(OPEN, context.getClass()) === true;

/** The request's `{ params, query, body }`, as the contract makes them. */
export const Input = createParamDecorator(
  (_: unknown, context: ExecutionContext): unknown =>
    context.switchToHttp().getRequest<RundletRequest>().input,
);

/** Who asks; the access guard has seen to it that there is someone. */
export const By = createParamDecorator((_: unknown, context: ExecutionContext): Actor => {
  const { actor } = context.switchToHttp().getRequest<RundletRequest>();
  if (!actor) throw new Unauthenticated();
  return actor;
});

/** Sends a file, under the name it should be saved by. */
export function sendFile(
  response: Response,
  file: { name: string; contentType: string; content: string | Uint8Array },
): void {
  response
    .status(200)
    .setHeader('content-type', file.contentType)
    .setHeader('content-disposition', `attachment; filename="${file.name}"`)
    .setHeader('cache-control', 'no-store');
  response.end(file.content);
}
