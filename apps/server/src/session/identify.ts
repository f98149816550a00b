import { Injectable } from '@nestjs/common';
import type { NextFunction, Response } from 'express';
import type { RundletRequest } from '../platform/actor.ts';
import { Devices } from './devices.ts';
import { Sessions } from './sessions.ts';

/** Name of the session's cookie. */
export const SESSION_COOKIE = 'rundlet_session';

export const sessionSecretOf = (request: RundletRequest): string | null => {
  const cookie = (request.cookies as Record<string, unknown> | undefined)?.[SESSION_COOKIE];
  return typeof cookie === 'string' ? cookie : null;
};

/** Finds out who asks, before a body is read: strangers get to send only small ones. */
@Injectable()
export class Identify {
  constructor(
    private readonly sessions: Sessions,
    private readonly devices: Devices,
  ) {}

  readonly middleware = (request: RundletRequest, _: Response, next: NextFunction): void => {
    this.note(request).then(() => next(), next);
  };

  private async note(request: RundletRequest): Promise<void> {
    if (!request.path.startsWith('/api/')) return;
    const bearer = /^Bearer (\S{20,200})$/.exec(request.get('authorization') ?? '')?.[1];
    const secret = sessionSecretOf(request);
    const actor = bearer
      ? await this.devices.actorOf(bearer)
      : secret
        ? await this.sessions.actorOf(secret)
        : null;
    if (actor) request.actor = actor;
  }
}
