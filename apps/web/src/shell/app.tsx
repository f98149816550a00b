import { QueryClientProvider } from '@tanstack/react-query';
import { useEffect } from 'react';
import { Route, Switch } from 'wouter';
import { startOutbox } from '../acts/outbox.ts';
import { queries } from '../data/client.ts';
import { SessionProvider, useSessionState } from '../data/session.tsx';
import { Loading } from '../kit/states.tsx';
import { ErrorBoundary } from './error-boundary.tsx';
import { FirstAdministratorPage } from './first-administrator-page.tsx';
import { Frame } from './frame.tsx';
import { Routes } from './routes.tsx';
import { SignInPage } from './sign-in-page.tsx';

export function App() {
  useEffect(startOutbox, []);
  return (
    <ErrorBoundary>
      <QueryClientProvider client={queries}>
        <SessionProvider>
          <Switch>
            <Route path="/first-administrator/:token?" component={FirstAdministratorPage} />
            <Route component={Inside} />
          </Switch>
        </SessionProvider>
      </QueryClientProvider>
    </ErrorBoundary>
  );
}

function Inside() {
  const { session } = useSessionState();
  if (session === 'unknown') return <Loading what="Opening" />;
  if (session === null) return <SignInPage />;
  return (
    <Frame>
      <Routes />
    </Frame>
  );
}
