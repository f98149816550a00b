import { lazy, Suspense, useEffect, type ComponentType } from 'react';
import { Redirect, Route, Switch, useLocation } from 'wouter';
import { useMay } from '../data/session.tsx';
import { LinkButton } from '../kit/button.tsx';
import { Empty, Loading } from '../kit/states.tsx';
import { Page } from '../kit/surface.tsx';
import { CodeAddressPage } from './code-address-page.tsx';
import { ErrorBoundary } from './error-boundary.tsx';
import { PLACES } from './places.ts';
import type { Screen } from './screen.ts';

const all = PLACES.flatMap(({ screens }) => screens);
const pages = new Map<Screen, ComponentType>(all.map((screen) => [screen, lazy(screen.load)]));
const WIDE_PX = 900;

export function Routes() {
  const [path] = useLocation();
  return (
    <ErrorBoundary key={path}>
      <Suspense fallback={<Loading what="Opening" />}>
        <Switch>
          <Route path="/">
            <Redirect to={startPath()} replace />
          </Route>
          {all.map((screen) => (
            <Route key={screen.path} path={screen.path}>
              <Shown screen={screen} />
            </Route>
          ))}
          {/* Addresses printed in codes: a cask, a position, a sample, a vat, or a GS1 key. */}
          <Route path={/^\/(?:c|p|s|v|8003|8004)\/.+$/i} component={CodeAddressPage} />
          <Route component={NotFoundPage} />
        </Switch>
      </Suspense>
    </ErrorBoundary>
  );
}

/** A phone opens where the scanning is, a desk where the overview is. */
const startPath = (): string => (innerWidth >= WIDE_PX ? '/overview' : '/scan');

function Shown({ screen }: { screen: Screen }) {
  const may = useMay();
  useEffect(() => {
    document.title = `${screen.title} · Rundlet`;
  }, [screen]);
  if (screen.role && !may(screen.role))
    return (
      <Page title={screen.title} narrow>
        <Empty title="Not part of your work here">
          This page needs the role “{screen.role}”. An administrator can give it to you.
        </Empty>
      </Page>
    );
  const Component = pages.get(screen);
  return Component ? <Component /> : null;
}

function NotFoundPage() {
  return (
    <Page title="There is no such page" narrow>
      <Empty title={location.pathname} action={<LinkButton to="/scan">Go to Scan</LinkButton>}>
        The address may be mistyped, or belong to something that was never here.
      </Empty>
    </Page>
  );
}
