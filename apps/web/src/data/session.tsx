import { RefusedError } from '@rundlet/client';
import { api, ROLES, type Role, type Session } from '@rundlet/contracts';
import { createContext, useCallback, useContext, useEffect, useState, type ReactNode } from 'react';
import { carryTokenOf, client, onSignedOut, queries } from './client.ts';
import { keep, kept } from './database.ts';
import { onReachable } from './network.ts';

interface SessionState {
  /** `unknown` while being asked; null when nobody is signed in. */
  session: Session | null | 'unknown';
  /** True when the session is the one kept on this device, because the server could not be asked. */
  remembered: boolean;
  signIn: (signInName: string, password: string) => Promise<void>;
  signOut: () => Promise<void>;
  /** Ask again, after a refusal for want of a sign-in. */
  refresh: () => Promise<void>;
}
const Context = createContext<SessionState | null>(null);

export function SessionProvider({ children }: { children: ReactNode }) {
  const [session, setSession] = useState<SessionState['session']>('unknown');
  const [remembered, setRemembered] = useState(false);

  const take = useCallback((next: Session | null, fromDevice = false) => {
    carryTokenOf(next);
    setSession(next);
    setRemembered(fromDevice);
    if (!fromDevice) void keep('session', next);
  }, []);

  const refresh = useCallback(async () => {
    try {
      take(await client.call(api.session.me));
    } catch (error) {
      if (error instanceof RefusedError && error.problem.status === 401) take(null);
      else take((await kept<Session | null>('session')) ?? null, true);
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
        if (remembered) void refresh();
      }),
    [remembered, refresh],
  );

  const signIn = useCallback(
    async (signInName: string, password: string) => {
      take(await client.call(api.session.signIn, { body: { signInName, password } }));
      queries.clear();
    },
    [take],
  );
  const signOut = useCallback(async () => {
    await client.call(api.session.signOut).catch(() => undefined);
    take(null);
    queries.clear();
  }, [take]);

  return <Context value={{ session, remembered, signIn, signOut, refresh }}>{children}</Context>;
}

export function useSessionState(): SessionState {
  const state = useContext(Context);
  if (!state) throw new RangeError('useSessionState needs a SessionProvider above it');
  return state;
}

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
