import { RefusedError } from '@rundlet/client';
import { api, ROLES, type InputOf, type Role, type Session } from '@rundlet/contracts';
import { createContext, useCallback, useContext, useEffect, useState, type ReactNode } from 'react';
import { carryTokenOf, client, onSignedOut, queries } from './client.ts';
import { keep, kept } from './database.ts';
import { isReachable, onReachable } from './network.ts';
import { outboxStorage } from './outbox-storage.ts';

type Credentials = InputOf<typeof api.session.signIn>['body'];

interface SessionState {
  /** `unknown` while being asked; null when nobody is signed in. */
  session: Session | null | 'unknown';
  /** True when the session is the one kept on this device, because the server could not be asked. */
  remembered: boolean;
  /** True when the server has ended the session while entries of this person wait here: work goes on, sending does not. */
  ended: boolean;
  signIn: (person: Credentials) => Promise<void>;
  signOut: () => Promise<void>;
  /** Ask again, after a refusal for want of a sign-in. */
  refresh: () => Promise<void>;
}
const Context = createContext<SessionState | null>(null);

export function SessionProvider({ children }: { children: ReactNode }) {
  const [session, setSession] = useState<SessionState['session']>('unknown');
  const [remembered, setRemembered] = useState(false);
  const [ended, setEnded] = useState(false);

  const take = useCallback((next: Session | null, fromDevice = false) => {
    carryTokenOf(next);
    setSession(next);
    setRemembered(fromDevice);
    setEnded(false);
    if (!fromDevice) void keep('session', next);
  }, []);

  const refresh = useCallback(async () => {
    try {
      take(await client.call(api.session.me));
    } catch (error) {
      const before = (await kept<Session | null>('session')) ?? null;
      if (!(error instanceof RefusedError && error.problem.status === 401)) take(before, true);
      // Nobody is thrown out of a count: whoever has entries waiting works on and signs in when it suits.
      else if (before && (await hasWaiting(before.person.id))) {
        take(before, true);
        setEnded(true);
      } else take(null);
    }
  }, [take]);

  useEffect(() => {
    void refresh();
  }, [refresh]);
  // Some request was answered with “sign in first”: the session has ended elsewhere.
  useEffect(() => onSignedOut(() => void refresh()), [refresh]);
  useEffect(
    () =>
      onReachable(() => {
        if (remembered && isReachable()) void refresh();
      }),
    [remembered, refresh],
  );

  const signIn = useCallback(
    async (body: Credentials) => {
      take(await client.call(api.session.signIn, { body }));
      queries.clear();
    },
    [take],
  );
  const signOut = useCallback(async () => {
    await client.call(api.session.signOut).catch(() => undefined);
    take(null);
    queries.clear();
  }, [take]);

  return (
    <Context value={{ session, remembered, ended, signIn, signOut, refresh }}>{children}</Context>
  );
}

export function useSessionState(): SessionState {
  const state = useContext(Context);
  if (!state) throw new RangeError('useSessionState needs a SessionProvider above it');
  return state;
}

const hasWaiting = async (personId: string): Promise<boolean> =>
  (await outboxStorage.all().catch(() => [])).some(
    (item) => item.state === 'waiting' && item.by?.id === personId,
  );

/** The session of whoever is signed in. Only below the shell, where somebody is. */
export function useSession(): Session {
  const { session } = useSessionState();
  if (session === null || session === 'unknown')
    throw new RangeError('useSession is for pages behind the sign-in');
  return session;
}

/**
 * Whether the person signed in may do what asks for a role: each role includes those before it. Controls for what they may
 * not do stay out of sight.
 */
export function useMay(): (role: Role) => boolean {
  const { roles } = useSession().person;
  return (needed) => roles.some((role) => ROLES.indexOf(role) >= ROLES.indexOf(needed));
}
