import { api } from '@rundlet/contracts';
import { Redirect, useLocation } from 'wouter';
import { useApi } from '../data/client.ts';
import { pathOfMatch } from '../data/match.ts';
import { LinkButton } from '../kit/button.tsx';
import { Empty, Loaded } from '../kit/states.tsx';
import { Page } from '../kit/surface.tsx';

/** Where a phone lands that read a label's QR code with its own camera: finds the thing and goes to its page. */
export function CodeAddressPage() {
  const [path] = useLocation();
  const answer = useApi(api.casks.scan, { query: { text: location.origin + path } });
  return (
    <Page title="Looking up the code" narrow>
      <Loaded query={answer}>
        {({ matches, message }) => {
          const [first] = matches;
          if (first && matches.length === 1) return <Redirect to={pathOfMatch(first)} replace />;
          return (
            <Empty title="Nothing found" action={<LinkButton to="/scan">Scan again</LinkButton>}>
              {message}
            </Empty>
          );
        }}
      </Loaded>
    </Page>
  );
}
