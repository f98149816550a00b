/** The shape of one HTTP endpoint; the server serves it, the client calls it and OpenAPI describes it from this one definition. */
import { z } from 'zod';
import type { Role } from './roles.ts';

export type Method = 'GET' | 'POST' | 'DELETE';
/** `public` needs no sign-in; `signed-in` needs any; a role needs that role. */
export type Access = Role | 'public' | 'signed-in';

export interface Endpoint<
  P extends z.ZodType = z.ZodType,
  Q extends z.ZodType = z.ZodType,
  B extends z.ZodType = z.ZodType,
  R extends z.ZodType = z.ZodType,
> {
  readonly method: Method;
  /** Path with `:name` parameters, beginning with /api. */
  readonly path: string;
  readonly summary: string;
  readonly access: Access;
  readonly params: P;
  readonly query: Q;
  readonly body: B;
  readonly response: R;
  /** Media type of the answer when it is a file; then `response` is not parsed. */
  readonly file?: string;
}

const Nothing = z.strictObject({});
type Nothing = typeof Nothing;

export function endpoint<
  P extends z.ZodType = Nothing,
  Q extends z.ZodType = Nothing,
  B extends z.ZodType = Nothing,
  R extends z.ZodType = z.ZodType,
>(e: {
  method: Method;
  path: string;
  summary: string;
  access: Access;
  params?: P;
  query?: Q;
  body?: B;
  response: R;
  file?: string;
}): Endpoint<P, Q, B, R> {
  return {
    params: Nothing as unknown as P,
    query: Nothing as unknown as Q,
    body: Nothing as unknown as B,
    ...e,
  };
}

/** What a handler gets and a caller gives. */
export type InputOf<E> =
  E extends Endpoint<infer P, infer Q, infer B>
    ? { params: z.infer<P>; query: z.infer<Q>; body: z.infer<B> }
    : never;
export type CallOf<E> =
  E extends Endpoint<infer P, infer Q, infer B>
    ? { params?: z.input<P>; query?: z.input<Q>; body?: z.input<B> }
    : never;
export type AnswerOf<E> =
  E extends Endpoint<z.ZodType, z.ZodType, z.ZodType, infer R> ? z.infer<R> : never;

/** A page of a list. `next` is the key to ask the following page with; null at the end. */
export const pageOf = <T extends z.ZodType>(row: T) =>
  z.strictObject({ rows: z.array(row), next: z.string().nullable() });
export const PageQuery = {
  after: z.string().max(400).optional(),
  limit: z.coerce.number().int().min(1).max(500).default(50),
};
export const ById = z.strictObject({ id: z.uuid() });
