import {
  Injectable,
  type CallHandler,
  type ExecutionContext,
  type NestInterceptor,
} from '@nestjs/common';
import type { Endpoint } from '@rundlet/contracts';
import type { Observable } from 'rxjs';
import type { RundletRequest } from './actor.ts';
import { endpointOf } from './endpoint-handler.ts';
import { InvalidRequest } from './problem.ts';

/** Checks every request against its endpoint's contract before the handler sees it. @throws InvalidRequest */
@Injectable()
export class ContractInterceptor implements NestInterceptor {
  intercept(context: ExecutionContext, next: CallHandler): Observable<unknown> {
    const endpoint = endpointOf(context.getHandler());
    const request = context.switchToHttp().getRequest<RundletRequest>();
    if (endpoint) request.input = inputFor(endpoint, request);
    return next.handle();
  }
}

function inputFor(endpoint: Endpoint, request: RundletRequest): unknown {
  const parts = { params: request.params, query: request.query, body: bodyOf(endpoint, request) };
  const issues: { path: PropertyKey[]; message: string }[] = [];
  const input: Record<string, unknown> = {};
  for (const part of ['params', 'query', 'body'] as const) {
    const parsed = endpoint[part].safeParse(parts[part]);
    if (parsed.success) input[part] = parsed.data;
    else
      for (const { path, message } of parsed.error.issues)
        issues.push({ path: [part, ...path], message });
  }
  if (issues.length > 0) throw new InvalidRequest(issues);
  return input;
}

/** Only POST carries a body; an absent one counts as an empty object. */
function bodyOf(endpoint: Endpoint, request: RundletRequest): unknown {
  return endpoint.method === 'POST' ? ((request.body as unknown) ?? {}) : {};
}
