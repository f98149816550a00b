import { timingSafeEqual } from 'node:crypto';
import { Injectable, type CanActivate, type ExecutionContext } from '@nestjs/common';
import { includesRole, type RundletRequest } from './actor.ts';
import { endpointOf, isOpen } from './endpoint-handler.ts';
import { Forbidden, Unauthenticated } from './refusals.ts';

/** Enforces what each endpoint's contract says of access. A route that says nothing is closed. */
@Injectable()
export class AccessGuard implements CanActivate {
  canActivate(context: ExecutionContext): boolean {
    const endpoint = endpointOf(context.getHandler());
    if (!endpoint) {
      if (isOpen(context)) return true;
      throw new Forbidden('This route is closed.');
    }
    const request = context.switchToHttp().getRequest<RundletRequest>();
    if (endpoint.access === 'public') return true;
    const { actor } = request;
    if (!actor) throw new Unauthenticated();
    if (endpoint.method !== 'GET') requireOwnPage(request, actor.csrfToken);
    if (endpoint.access !== 'signed-in' && !includesRole(actor.roles, endpoint.access))
      throw new Forbidden(`This needs the role "${endpoint.access}" or one that includes it.`);
    return true;
  }
}

/** A cookie is sent along by any page; the token only by ours. */
function requireOwnPage(request: RundletRequest, csrfToken: string | null): void {
  if (csrfToken === null) return;
  const given = Buffer.from(request.get('x-csrf-token') ?? '');
  const expected = Buffer.from(csrfToken);
  if (given.length !== expected.length || !timingSafeEqual(given, expected))
    throw new Forbidden(
      'The header x-csrf-token must carry the token that GET /api/session answers with.',
    );
}
