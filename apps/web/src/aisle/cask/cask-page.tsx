import { useParams } from 'wouter';
import { useCask } from '../../data/cask.ts';
import { Card, CodeText, Failed, LinkButton, Loading, Page } from '../../kit/kit.ts';
import { CaskActions } from './cask-actions.tsx';
import { CaskEvents } from './cask-events.tsx';
import { CaskFigures } from './cask-figures.tsx';
import { CaskGauges } from './cask-gauges.tsx';
import { CaskHead, CaskSource } from './cask-head.tsx';
import { CaskOrigins } from './cask-origins.tsx';
import { CaskWood } from './cask-wood.tsx';
import { History } from './history.tsx';

/** A cask's card. */
export default function CaskPage() {
  const { id = '' } = useParams<{ id: string }>();
  const { brief, card, query } = useCask(id);
  if (!brief)
    return (
      <Page title="Cask" narrow>
        {query.isError ? (
          <Failed error={query.error} retry={() => void query.refetch()} />
        ) : (
          <Loading what="Fetching the card" />
        )}
      </Page>
    );
  return (
    <Page
      title={
        <>
          <span className="visually-hidden">Cask </span>
          <span className="cask-code">
            <CodeText code={brief.code} />
          </span>
        </>
      }
      actions={
        <LinkButton to="/scan" icon="scan" kind="quiet">
          Scan the next
        </LinkButton>
      }
    >
      <CaskHead brief={brief} card={card} />
      <CaskSource brief={brief} />
      <div className="columns">
        <CaskFigures brief={brief} card={card} />
        <CaskActions cask={brief} />
      </div>
      <div className="columns">
        <div className="stack">
          {card && <CaskGauges card={card} />}
          {card && (
            <Card title="History">
              <History lines={card.history} />
            </Card>
          )}
        </div>
        <div className="stack">
          {card && <CaskOrigins card={card} />}
          {card && <CaskEvents card={card} />}
          {card && <CaskWood card={card} />}
        </div>
      </div>
    </Page>
  );
}
