import { QueryClientProvider } from '@tanstack/react-query';
import { lazy, Suspense, useEffect } from 'react';
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

/** What anybody may see who has a bottle in hand. */
const ToldPage = lazy(() => import('../told/bottling-page.tsx'));
function Told() {
  return (
    <Suspense fallback={<Loading what="Opening" />}>
      <ToldPage />
    </Suspense>
  );
}

export function App() {
  useEffect(startOutbox, []);
  return (
    <ErrorBoundary>
      <QueryClientProvider client={queries}>
        <SessionProvider>
          <Switch>
            <Route path="/first-administrator/:token?" component={FirstAdministratorPage} />
            <Route path="/b/:code" component={Told} />
            <Route path="/01/:gtin/10/:code" component={Told} />
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
