import { ROLES, type Role } from '@rundlet/contracts';
import type { Request } from 'express';

/** Who is asking: a person with a session, a device with a token, or the program for itself. */
export interface Actor {
  readonly kind: 'person' | 'device' | 'program';
  readonly id: string;
  readonly name: string;
  readonly signInName: string;
  readonly roles: readonly Role[];
  /** What a person's changing requests must carry; null for a device, whose token no other site can send. */
  readonly csrfToken: string | null;
}

/**
 * Whether someone with these roles may do what asks for `needed`. Each role includes those before it: who blends also does
 * warehouse work, who keeps also blends, who administers may do anything.
 */
export function includesRole(roles: readonly Role[], needed: Role): boolean {
  return roles.some((role) => ROLES.indexOf(role) >= ROLES.indexOf(needed));
}

/** The program, where it writes entries of its own accord. */
export const PROGRAM: Actor = {
  kind: 'program',
  id: 'rundlet',
  name: 'Rundlet',
  signInName: 'rundlet',
  roles: ['administer'],
  csrfToken: null,
};

/** Request as our middleware leaves it. */
export interface RundletRequest extends Request {
  requestId?: string;
  actor?: Actor;
  /** What the endpoint's contract made of params, query and body. */
  input?: unknown;
}
